"""`python -m roofmodel` does what the `roofmodel` command does."""

from roofmodel_ui.cli import main

if __name__ == "__main__":
    main()
