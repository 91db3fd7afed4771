"""`python -m loombench`: the command line."""

from loombench.shell.cli import main

if __name__ == "__main__":
    main()
