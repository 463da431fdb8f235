"""Hands-free: a microphone at the helm, a wake phrase, tones, replies read aloud.

Start reading at `run`, the loop; `watch` holds what the ear waits for, without sound or clock.
"""
