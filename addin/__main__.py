"""Run as `python -P -m addin`: with -P no file of the current folder is taken for one of ours."""

from addin.cli import main

main()
