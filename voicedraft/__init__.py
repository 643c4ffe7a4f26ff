"""voicedraft: from a spoken cigar tasting to a draft review in which every line leads back to the words."""

__version__ = "0.1.0"
