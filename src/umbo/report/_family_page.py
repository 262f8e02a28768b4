def family_page(answer): return {}
