"""The forms that a report can be had in, and which one a file name asks for."""

import json
from datetime import datetime, tzinfo
from typing import Final, Literal, get_args

from bot.answers.asked import Span
from bot.answers.view import View
from bot.reports.blocks import Page
from bot.reports.page import page
from bot.reports.report import Report
from bot.reports.season import Season

ReportForm = Literal["md", "html", "pdf", "json"]
FORMS: Final[tuple[ReportForm, ...]] = get_args(ReportForm)
_ENDINGS: Final[dict[str, ReportForm]] = {"markdown": "md", "htm": "html"}


def form_of(file: str | None) -> ReportForm:
    """Return the form that the ending of a file name asks for; Markdown where it asks for none."""
    ending = (file or "").rpartition(".")[2].casefold()
    ending = _ENDINGS.get(ending, ending)
    return next((form for form in FORMS if form == ending), "md")


def report_file(
    report: Report, form: ReportForm, tz: tzinfo, view: View | None = None,
    made_at: datetime | None = None,
) -> bytes:  # fmt: skip
    """Return a report as a file; pictures are drawn from `view`, and left out without one."""
    if form == "json":
        return _for_programs(report)
    if form == "md" or view is None:
        return _put(page(report, tz), form, made_at)
    from bot.reports.figures import figures

    return _put(page(report, tz, figures(view, report)), form, made_at)


def write_season(
    found: Season, form: ReportForm, view: View, span: Span, made_at: datetime | None = None
) -> bytes:
    """Return the report of several trips as a file; pictures are drawn from `view`."""
    if form == "json":
        return _for_programs(found)
    from bot.reports.figures import season_figures
    from bot.reports.season_page import season_page

    drawn = season_figures(view, span) if form != "md" and found.total.strikes else ()
    return _put(season_page(found, view.tz, drawn), form, made_at)


def _for_programs(report: Report | Season) -> bytes:
    from bot.reports.as_json import report_json

    return (json.dumps(report_json(report), ensure_ascii=False, allow_nan=False) + "\n").encode()


def _put(laid_out: Page, form: ReportForm, made_at: datetime | None) -> bytes:
    if form == "md":
        from bot.reports.as_markdown import markdown

        return markdown(laid_out).encode()
    if form == "html":
        from bot.reports.as_html import html

        return html(laid_out).encode()
    from bot.reports.as_pdf import pdf

    return pdf(laid_out, made_at)
