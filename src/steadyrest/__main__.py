"""`python -m steadyrest` is the command `steadyrest`."""

from steadyrest.cli.main import run

if __name__ == "__main__":
    run()
