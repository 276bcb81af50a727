"""Numbers that belong to the method, not to a vehicle, each with its reason."""

GRAVITY = 9.80665
"""Standard gravity [m/s²] (3rd CGPM, 1901); with kg it gives N."""

ROTATION_LENGTH = 300.0
"""Length [mm] that turns a rotation into a displacement, so that all unknowns are mm.

About half a knuckle: then one unit of rotation moves a joint about as far as one unit of translation,
and the stiffness matrix keeps its digits.
"""

RANK_TOLERANCE = 1e-9
"""Singular values below this share of the largest count as a mechanism that nothing holds."""

NULL_FORCE_TOLERANCE = 1e-6
"""A load may do at most this share of its size along an unheld mechanism before it is refused."""

GAP_TOLERANCE = 1e-8
"""Largest energy-scaled optimality gap of an answer that is called solved."""

OPEN_CONTACT_LIMIT = 1000.0
"""A contact is never opened further than this [mm]; it bounds the half-line in the certificate."""

FREE_MECHANISM_TOLERANCE = 1e-9
"""Eigenvalues of S below this share of its largest count as movement that costs no energy."""

ROUNDING = 2.0**-50
"""Share of its terms by which a sum of forces may be wrong for lack of digits: four last digits of a double."""
