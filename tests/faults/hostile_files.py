"""Hostile files of every kind that is read from others, each read by a process of its own: time and memory.

    python tests/faults/hostile_files.py

Above its bounds a file is refused before it is parsed; below them it is parsed, as the largest job's is.
Time is that of the processor, without that of an empty command.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Final

from crewtui.disk.their_files import JOB, KEYS, RECORD, Bounds

KINDS: Final[dict[str, tuple[Bounds, list[str]]]] = {
    "record": (RECORD, ["verify", "{file}"]),
    "job": (JOB, ["check", "{file}"]),
    "keys": (KEYS, ["key", "list", "--keys", "{file}"]),
}
_CHILD: Final = (
    "import resource, sys; from crewtui import cli; code = cli.run(sys.argv[1:]);"
    "used = resource.getrusage(resource.RUSAGE_SELF);"
    "print('CODE', code, used.ru_maxrss // 1024, round(1000 * (used.ru_utime + used.ru_stime)))"
)


def shapes(bounds: Bounds, share: float) -> dict[str, str]:
    """Return texts of every shape, with this share of what their bounds let them have."""
    headers, items = int(bounds.most_headers * share), int(bounds.most_items * share)
    return {
        "lists of tables": "[[a]]\n" * headers,
        "many tables": "".join(f"[t{number}]\n" for number in range(headers)),
        "tables in tables": "".join(f"[a.b.c.d.e.f.t{number}]\n" for number in range(headers)),
        "lists in lists of tables": "[[a]]\n[[a.b]]\n[[a.b.c]]\n" * (headers // 3),
        "many keys": "".join(f"k{number}=1\n" for number in range(items)),
        "dotted keys": "".join(f"a.b.c.d.e.f.g.h.k{number}=1\n" for number in range(items)),
        "one list": "a=[" + "1," * items + "]",
        "tables in a list": "a=[" + "{}," * items + "]",
        "one inline table": "a={" + ",".join(f"k{number}=1" for number in range(items // 2)) + "}",
        "one text": 'a="' + "\\u00e9" * int(bounds.most_bytes * share / 6) + '"',
        "quotes that do not end": '"""' + '"\\' * int(bounds.most_bytes * share / 2),
        "brackets": "[" * int(bounds.most_bytes * share),
        "nothing": " " * int(bounds.most_bytes * share),
    }


def child(arguments: list[str]) -> tuple[int, int, float]:
    """Run a command in a process of its own; return its code, its most memory and its time."""
    command = [sys.executable, "-c", _CHILD, *arguments]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    code, mib, milliseconds = (int(word) for word in ran.stdout.rsplit("CODE", 1)[1].split())
    return code, mib, milliseconds / 1000


def main() -> int:
    """Read each file once and print how long it took and how much memory; 1 where one ends in a fault."""
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        for kind, (bounds, command) in KINDS.items():
            for share, called in ((1.02, "above"), (0.98, "below")):
                worst_s, worst_mib, at = 0.0, 0, ""
                path = Path(folder) / "empty.toml"
                path.write_text("", encoding="utf-8")
                empty_s = child([word.format(file=path) for word in command])[2]
                for name, text in shapes(bounds, share).items():
                    path = Path(folder) / "hostile.toml"
                    path.write_text(text, encoding="utf-8")
                    arguments = [word.format(file=path) for word in command]
                    code, mib, took_s = child(arguments)
                    took = took_s - empty_s
                    bad += code not in {2, 6}
                    if took > worst_s:
                        worst_s, at = took, name
                    worst_mib = max(worst_mib, mib)
                sys.stdout.write(f"{kind}, {called} its bounds: {worst_s:.2f} s ({at}), {worst_mib} MiB\n")
                sys.stdout.flush()
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
