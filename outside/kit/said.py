"""What a check finds, said line by line, and how it ends."""
import sys

failed = 0


def say(good, what):
    """One thing that was held against something outside."""
    global failed
    failed += not good
    print(("ok    " if good else "FAIL  ") + what, flush=True)


def end():
    """Ends the check: badly if anything failed."""
    sys.exit(1 if failed else 0)
