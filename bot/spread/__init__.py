"""Where the lures should run: the plan, its reasons, and which lures may go out at all."""
