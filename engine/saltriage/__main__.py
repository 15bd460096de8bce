"""`python -m saltriage` is the command `saltriage`."""

from saltriage.cli import main

if __name__ == "__main__":
    main()
