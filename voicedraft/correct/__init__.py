"""Correct: an append-only journal of corrections, replayed over the machine's reading; a page, a terminal, learning.

The reading (`reading.json`) is never changed. Every correction is an event that names the words it was made on, so that
a later reading of the same sound keeps it wherever those words still exist.
"""
