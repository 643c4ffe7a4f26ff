"""Correcting in the terminal: the same corrections as on the page, by typed commands."""

from voicedraft.correct.terminal.loop import Terminal, correct_in_terminal

__all__ = ["Terminal", "correct_in_terminal"]
