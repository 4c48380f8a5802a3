"""A coverage-guided fuzzer for the reader of descriptions; run by hand, never by the test suite.

It needs atheris, which is in no extra because it is for this alone: ``pip install atheris``. Ten minutes::

    mkdir -p build/fuzz && python tests/fuzz/fuzz_descriptions.py build/fuzz \\
        -max_total_time=600 -max_len=120 -rss_limit_mb=2048

The folder keeps the inputs that reached new code; a second run starts from them. The seeds are the texts of
``tests/description_cases.py``, and its signs and words are the dictionary. What must hold is in
``description_oracle.py``. The run ends at the first text that breaks a rule: its repr is printed. Put it into
``FOUND_BY_FUZZING`` of the cases, mend the reader, and run again.

Bytes are taken as UTF-8, and what is no UTF-8 as lone surrogates, because a shell may hand those over.
"""

import sys
import tempfile
from pathlib import Path

import atheris

sys.path[:0] = [str(Path(__file__).parents[1] / "helpers"), str(Path(__file__).parent)]
with atheris.instrument_imports(include=["reconcile"]):
    from reconcile.sheets.fasteners.descriptions import read_description

from description_cases import ALL_TEXTS, SIGNS  # noqa: E402
from description_oracle import hold  # noqa: E402


def one_input(data: bytes) -> None:
    text = data.decode("utf-8", "surrogateescape")
    try:
        hold(text)
    except BaseException:
        print(f"BROKEN BY {text!r}", flush=True)
        raise
    finally:
        read_description.cache_clear()


def dictionary() -> str:
    """Signs and words in the form the fuzzer takes: bytes in quotes, one a line."""
    escaped = ("".join(f"\\x{byte:02x}" for byte in sign.encode()) for sign in SIGNS)
    return "".join(f'"{each}"\n' for each in escaped)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        seeds, words = Path(folder, "seeds"), Path(folder, "words")
        seeds.mkdir()
        for number, text in enumerate(ALL_TEXTS):
            Path(seeds, str(number)).write_text(text, "utf-8")
        words.write_text(dictionary(), "utf-8")
        atheris.Setup([*sys.argv, str(seeds), f"-dict={words}"], one_input)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
