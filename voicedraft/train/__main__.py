"""`python -m voicedraft.train [PART...]`: makes the shipped weights again."""

from __future__ import annotations

import subprocess
import sys

from voicedraft.train import BY_ITSELF, FITTED_ON, gold_files


def main() -> int:
    """Each part in a process of its own, so that one's settings never reach another."""
    wanted = sys.argv[1:] or list(BY_ITSELF)
    unknown = [part for part in wanted if part not in FITTED_ON]
    if unknown or not gold_files("sections"):
        reason = f"there is no part {unknown[0]!r}" if unknown else "there are no gold sessions outside a checkout"
        print(f"python -m voicedraft.train: {reason}. Parts: {', '.join(FITTED_ON)}.", file=sys.stderr)
        return 2
    for part in wanted:
        files = [str(p) for p in gold_files(part)]
        subprocess.run([sys.executable, "-m", f"voicedraft.train.{part}", *files], check=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
