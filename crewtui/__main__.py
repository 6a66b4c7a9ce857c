"""``python -m crewtui`` is the command line, where no command of that name is on the path."""

from __future__ import annotations

from crewtui.cli import main

if __name__ == "__main__":
    main()
