"""What the record says: rates, comparisons, the next change."""
