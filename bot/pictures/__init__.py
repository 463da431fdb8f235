"""Pictures for the crew: plain values in, the bytes of an image out."""
