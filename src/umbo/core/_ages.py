"""Ages at which something else holds."""

from __future__ import annotations

__all__ = ["ADULT_EAR_MONTHS", "CHILD_MONTHS"]

#: From this age on, 7 years, the external ear resonates as an adult's (Dempster & Mackenzie 1990, abstract read; before
#: that it moves: 4.4 kHz at one month, 2.9 kHz at 24, Keefe et al. 1994, abstract read). [month]
ADULT_EAR_MONTHS = 84.0

#: Below this age, 18 years, a client counts as a child: upper edges count, and the page speaks to the family
#: (engineering judgement). [month]
CHILD_MONTHS = 216.0
