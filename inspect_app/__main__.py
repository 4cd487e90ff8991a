"""Run the command line as `python -m inspect_app`."""

from inspect_app.cli import main

if __name__ == "__main__":
    main()
