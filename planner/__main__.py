"""Run the program: ``planner``, or ``python -m planner``."""

import signal


def run() -> None:
    """Run the command line; Ctrl-C while it is still loading, or already ending, stops it too."""
    try:
        from planner.cli import main

        main()
    except KeyboardInterrupt:
        raise SystemExit(130) from None
    finally:
        # All is done and said: from here on Ctrl-C ends it at once, without a traceback.
        signal.signal(signal.SIGINT, signal.SIG_DFL)


if __name__ == "__main__":
    run()
