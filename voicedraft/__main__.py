"""`python -m voicedraft` is the command line."""

from voicedraft.cli import main

if __name__ == "__main__":
    main()
