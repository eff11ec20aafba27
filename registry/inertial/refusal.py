"""The one way a computation says no: a sentence that says what is so and why, and one that says what to do next."""


class CannotCompute(ValueError):
    """No number is given. `sentence` says what is so and why, `next` what to do about it; both are for people.

    `str()` of it is both together. It knows nothing of the registry: a door that speaks in reason codes wraps it.
    """

    def __init__(self, sentence: str, next: str = ""):
        self.sentence, self.next = sentence, next
        super().__init__(f"{sentence} {next}".strip())
