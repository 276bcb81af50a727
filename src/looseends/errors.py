"""The project's own errors: one sentence that names thing, value and what is accepted."""


class LooseEndsError(Exception):
    """Base of every error that a user may see."""


class InputError(LooseEndsError):
    """Something given by the user is wrong; the command line exits with 2."""


class MechanicsError(LooseEndsError):
    """The mechanism cannot be solved as described: it falls apart, cannot settle or is degenerate."""
