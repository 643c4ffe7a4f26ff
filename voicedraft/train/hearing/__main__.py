"""The command; see the package's own text."""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

os.environ.setdefault("CUBLAS_WORKSPACE_CONFIG", ":4096:8")

from voicedraft.hear.speech_model import mended_tokenizer
from voicedraft.hear.tuned import FILE, Change, Tuned, load, save
from voicedraft.lexicon import load_lexicon
from voicedraft.train.hearing import dice

DIRECTIONS = 24
"""Most directions of a matrix that a mean keeps, of the 32 that two fits have in the decoder: 97 % of the change."""


def say(golds: Sequence[Path], folder: Path, kokoro: Path | None, more: Path | None, device: str) -> None:
    """Choose the texts and have them spoken into the folder."""
    from voicedraft.train.hearing import texts, voices

    left = texts.kept(golds)
    sessions = [json.loads(p.read_text(encoding="utf-8")) for p in golds if p not in left]
    lines = more.read_text(encoding="utf-8").splitlines() if more else []
    wanted = texts.material(sessions, load_lexicon(), dice(1), lines)
    voices.speak(voices.jobs(wanted, kokoro is not None, dice(2)), folder, kokoro, device)


def make(folders: Sequence[Path], model: Path, device: str) -> None:
    """Fit on what was spoken, and write the weights; started by torchrun, one process for each card of this machine."""
    import torch
    from torch import distributed

    from voicedraft.hear.bias import prompt
    from voicedraft.hear.doubt import names_told
    from voicedraft.train.hearing import whisper, windows
    from voicedraft.train.hearing.fit import Maker, Settings, fit

    torch.use_deterministic_algorithms(True)
    place = os.environ.get("LOCAL_RANK")
    if place is not None:
        distributed.init_process_group("nccl" if device == "cuda" else "gloo")
    if device == "cuda":
        torch.cuda.set_device(int(place or 0))
        device = f"cuda:{place or 0}"
    data = (model / "model.bin").read_bytes()
    loaded = whisper.load(data, device)
    lexicon = load_lexicon()
    spoken = [g for folder in folders for g in windows.load(folder, device)]
    told = windows.Told(lexicon.table("hearing"), names_told(lexicon), prompt)
    maker = Maker(_pieces(model), torch.tensor(whisper.mel_filters(), device=device), device)
    found = fit(loaded, spoken, told, maker, Settings(), device)
    changes = tuple(Change(p.at, found[p.key + ".up"].cpu().numpy(), found[p.key + ".down"].cpu().numpy())
                    for p in loaded.parts if p.key + ".up" in found)
    if not int(place or 0):
        _write(Tuned(hashlib.sha256(data).hexdigest(), changes))
    if place is not None:
        distributed.destroy_process_group()


def _write(tuned: Tuned) -> None:
    save(tuned, FILE)
    print(f"{FILE.name}: {FILE.stat().st_size:,} bytes, {len(tuned.changes)} matrices", flush=True)


def _pieces(model: Path) -> Callable[[str], list[int]]:
    from tokenizers import Tokenizer

    file = model / "tokenizer.json"
    held = Tokenizer.from_str((mended_tokenizer(model) or file.read_bytes()).decode())
    return lambda text: list(held.encode(text, add_special_tokens=False).ids)


def main(arguments: Sequence[str] | None = None) -> int:
    """Have it spoken, fit, or both."""
    parser = argparse.ArgumentParser(prog="python -m voicedraft.train.hearing")
    parser.add_argument("gold", nargs="*", type=Path)
    parser.add_argument("--speak", type=Path, help="have everything spoken into this folder, and stop")
    parser.add_argument("--kokoro", type=Path, help="folder with Kokoro, for neural voices too")
    parser.add_argument("--more", type=Path, help="further ordinary sentences to be spoken, one a line")
    parser.add_argument("--from", dest="source", type=Path, nargs="+", help="fit from such folders")
    parser.add_argument("--device", default="cpu", choices=["cpu", "cuda"])
    parser.add_argument("--model", type=Path, help="folder of the model base (the installed one)")
    parser.add_argument("--mean", type=Path, nargs="+", help="only take the mean of such files of weights")
    options = parser.parse_args(arguments)
    if "LOCAL_RANK" in os.environ and (options.mean or options.speak or not options.source):
        parser.error("torchrun is for fits only: give --from FOLDER, spoken before.")
    if options.mean:
        from voicedraft.train.hearing.mean import mean

        _write(mean([load(file) for file in options.mean], DIRECTIONS))
        return 0
    with tempfile.TemporaryDirectory() as work:
        folder = options.speak or Path(work)
        if not options.source:
            say(options.gold, folder, options.kokoro, options.more, options.device)
        if options.speak:
            return 0
        model = options.model
        if model is None:
            from voicedraft.models import model_path

            model = model_path("base")
        make(options.source or [folder], model, options.device)
    return 0


if __name__ == "__main__":
    sys.exit(main())
