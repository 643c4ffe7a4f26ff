"""The command; see the package's own text."""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

os.environ.setdefault("CUBLAS_WORKSPACE_CONFIG", ":4096:8")

from voicedraft.errors import InputError
from voicedraft.read.tuning import FILE, Change, Tuning, save
from voicedraft.train.encoder import FOLDER, MADE_UP, PARTS, parts
from voicedraft.train.encoder.material import Material, load, material_of
from voicedraft.train.encoder.material import save as save_material


def gather(golds: Sequence[Path], file: Path) -> None:
    """Analyse the sessions and the made-up speakers with the encoder as it came, and write what is learned from."""
    from voicedraft.evaluate.gold import load as load_gold
    from voicedraft.read.analysis import tuning
    from voicedraft.train.descriptors_extra import extra_sessions
    from voicedraft.train.encoder.written import written

    sessions = [load_gold(p) for p in sorted(golds, key=lambda p: p.stem)] + [gold for _, gold in extra_sessions()]
    with tuning.instead(None):
        told = [material_of(gold) for gold in sessions]
        save_material([*told, *written(told[0].extra.shape[1])], file)


def make(materials: Sequence[Material], model: Path, device: str, only: Sequence[str]) -> None:
    """Fit on all sessions, and for each part on the others. only: "all" and numbers of parts."""
    import torch

    from voicedraft.train.encoder import bert as bert_of
    from voicedraft.train.encoder.fit import fit

    torch.use_deterministic_algorithms(True)
    bert = bert_of.load(model, device)
    names = [m.name for m in materials if not m.name.startswith(MADE_UP)]
    part_of = {name: n % PARTS for n, name in enumerate(names)}
    FOLDER.mkdir(exist_ok=True)
    if part_of != parts():
        if set(only) != {"all", *map(str, range(PARTS))}:
            raise InputError("These are not the sessions that the other encoders were fitted on. Make all again.")
        (FOLDER / "parts.json").write_text(json.dumps(part_of, indent=0) + "\n", encoding="utf-8")
    for wanted in only:
        part = None if wanted == "all" else int(wanted)
        found = fit(bert, [m for m in materials if part is None or part_of.get(m.name) != part], device)
        tuning = Tuning(bert.size, tuple(
            Change(place.at, place.scale_at, found[name + ".down"].cpu().numpy(), found[name + ".up"].cpu().numpy())
            for name, place in bert.places.items() if name + ".down" in found
        ))
        file = FILE if part is None else FOLDER / f"part{part}.npz"
        save(tuning, file)
        print(f"{file.name}: {file.stat().st_size:,} bytes, {len(tuning.changes)} matrices", flush=True)


def main(arguments: Sequence[str] | None = None) -> int:
    """Gather, fit, or both."""
    parser = argparse.ArgumentParser(prog="python -m voicedraft.train.encoder")
    parser.add_argument("gold", nargs="*", type=Path)
    parser.add_argument("--material", type=Path, help="write what is learned from here, and stop")
    parser.add_argument("--from", dest="source", type=Path, help="fit from such a file")
    parser.add_argument("--device", default="cpu", choices=["cpu", "cuda"])
    parser.add_argument("--model", type=Path, help="model.onnx as it came (the installed one)")
    parser.add_argument("--only", nargs="+", default=["all", *map(str, range(PARTS))], help="all, and numbers of parts")
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        source = options.source or options.material or Path(folder) / "material"
        if not options.source:
            gather(options.gold, source)
        if options.material:
            return 0
        model = options.model
        if model is None:
            from voicedraft.models import model_path

            model = model_path("all-MiniLM-L6-v2-int8") / "model.onnx"
        make(load(source), model, options.device, options.only)
    return 0


if __name__ == "__main__":
    sys.exit(main())
