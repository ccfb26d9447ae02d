"""`python -m roofmodel` does what the `roofmodel` command does."""

from roofmodel_ui.begin import main

if __name__ == "__main__":
    main()
