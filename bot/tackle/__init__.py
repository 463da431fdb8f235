"""What is in the tackle box, and what goes with what; knows nothing of trips."""
