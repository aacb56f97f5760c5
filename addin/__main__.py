"""Run as `python -P -m addin`: with -P no file of the current folder is taken for one of ours."""

from addin.cli import main

if __name__ == "__main__":  # a process that is started for one of several lists imports this again
    main()
