"""The pages of the school itself; all are served in the language that a browser asks for."""
