"""Short waits for the bot, where a test is not about their length."""

from bot.transports.telegram import Waits

QUICK = Waits(
    first_s=0.05, longest_s=0.4, refused_s=0.05, conflict_s=0.2, edited_again_s=0.4, window_s=20.0
)
BOARD_EVERY_S = 1.0
PATIENCE_S = 1.0
