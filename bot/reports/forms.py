"""The forms that a report can be had in, and which one a file name asks for."""

import json
from datetime import datetime, tzinfo
from typing import Final, Literal, get_args

from bot.answers.view import View
from bot.reports.page import page
from bot.reports.report import Report

ReportForm = Literal["md", "html", "pdf", "json"]
FORMS: Final[tuple[ReportForm, ...]] = get_args(ReportForm)
_ENDINGS: Final[dict[str, ReportForm]] = {"markdown": "md", "htm": "html"}


def form_of(file: str | None) -> ReportForm:
    """Give the form that the ending of a file name asks for; Markdown where it asks for none."""
    ending = (file or "").rpartition(".")[2].casefold()
    ending = _ENDINGS.get(ending, ending)
    return next((form for form in FORMS if form == ending), "md")


def written(
    report: Report, form: ReportForm, tz: tzinfo, view: View | None = None,
    made_at: datetime | None = None,
) -> bytes:  # fmt: skip
    """Give a report as a file; pictures are drawn from `view`, and left out without one."""
    if form == "json":
        from bot.reports.as_json import report_json

        return (
            json.dumps(report_json(report), ensure_ascii=False, allow_nan=False) + "\n"
        ).encode()
    if form == "md":
        from bot.reports.as_markdown import markdown

        return markdown(page(report, tz)).encode()
    from bot.reports.figures import figures

    drawn = page(report, tz, figures(view, report) if view is not None else ())
    if form == "html":
        from bot.reports.as_html import html

        return html(drawn).encode()
    from bot.reports.as_pdf import pdf

    return pdf(drawn, made_at)
