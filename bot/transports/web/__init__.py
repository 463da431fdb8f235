"""The same conversation on the boat's own network, where there is no signal at all.

`app` serves the page of the folder `page` and answers it; `devices` knows who was let in.
"""

from bot.transports.web.config import WebAnswers, WebConfig
from bot.transports.web.serving import run

__all__ = ["WebAnswers", "WebConfig", "run"]
