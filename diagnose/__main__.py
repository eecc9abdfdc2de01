"""`python -m diagnose`: the same as the command `diagnose`."""

from diagnose.terminal.app import main

if __name__ == "__main__":
    main()
