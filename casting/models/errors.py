"""Errors that are raised when rows of a casting day cannot be planned."""


class NotPlanned(Exception):
    """No plan was made, and the last one remains. `sentence` says why."""

    def __init__(self, sentence: str) -> None:
        self.sentence = sentence
        super().__init__(sentence)
