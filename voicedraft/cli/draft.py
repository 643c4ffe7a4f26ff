"""`voicedraft draft`: from recordings or a timed transcript to a draft folder."""

from __future__ import annotations

from pathlib import Path

import click

DEVICES = ("auto", "cpu", "cuda")
FORMATS = ("auto", "float16", "int8_float16", "bfloat16", "int8_bfloat16", "int8", "int8_float32", "float32")


@click.command(name="draft")
@click.argument("inputs", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="INPUT...")
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="Folder for the draft.")
@click.option("--model", default="base", show_default=True,
              help="Speech model: base, tiny.en, a local folder, or any faster-whisper name.")
@click.option("--start", multiple=True, metavar="CLOCK",
              help="When a take began, HH:MM or ISO 8601; once a take, in order. Else the files' own dates count.")
@click.option("--cigar", default="", metavar="NAME", help="How the maker and line are spelt; mends mishearings of it.")
@click.option("--device", type=click.Choice(DEVICES), default="auto", show_default=True, help="Where to transcribe.")
@click.option("--compute", type=click.Choice(FORMATS), default="auto", metavar="FORMAT",
              help="Number format of the speech model: float16, int8_float16, bfloat16, int8_bfloat16, int8, "
                   "int8_float32, float32, or auto: float16 on a GPU, int8 without. A fallback is said.")
@click.option("--no-cache", is_flag=True, help="Transcribe again even where a result is kept.")
@click.option("-q", "--quiet", is_flag=True, help="Print only where the files are.")
def command(inputs: tuple[Path, ...], output: Path, model: str, start: tuple[str, ...], cigar: str, device: str,
            compute: str, no_cache: bool, quiet: bool) -> int:
    """Draft a review from INPUT: audio takes, a folder of takes, or a timed transcript (.vtt, .srt).

    Writes review.json, review.md, review.html and transcript.vtt to the output folder. What was not said stays blank.
    """
    from voicedraft.hear.timed_text import is_timed_text

    if any(map(is_timed_text, inputs)):
        # No sound is heard first: the encoder is loaded beside the rest of the program.
        from voicedraft.read.analysis import load_ahead

        load_ahead()
    from voicedraft.cli.summary import print_summary
    from voicedraft.session import DraftOptions, draft_session

    options = DraftOptions(model=model, start=start, cigar=cigar, device=device,
                           compute="" if compute == "auto" else compute, use_cache=not no_cache)
    result = draft_session(inputs, output, options, show_progress=not quiet)
    print_summary(result, quiet=quiet)
    return 0
