"""`python -m listingrisk` is the command."""

from listingrisk.cli import main

if __name__ == "__main__":
    main()
