"""The project's own errors: one sentence that names thing, value and what is accepted."""


class LooseEndsError(Exception):
    """Base of every error that a user may see, made from one sentence.

    A sentence that the language room made is a text in English, and can be said in the reader's language as well.
    """

    @property
    def sentence(self) -> str:
        """The sentence as it was given."""
        return self.args[0] if self.args else ""


class InputError(LooseEndsError):
    """Something given by the user is wrong; the command line exits with 2."""


class MechanicsError(LooseEndsError):
    """The mechanism cannot be solved as described: it falls apart, cannot settle or is degenerate."""
