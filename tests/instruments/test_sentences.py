"""Sentences against published examples and raw data of ships; the source stands beside each."""

from datetime import UTC, datetime

import pytest
from hypothesis import given, strategies as st

from bot.bench.nmea import with_checksum
from bot.instruments.sentences import DROP_REASONS, Sentence, read


def good(line: str) -> Sentence:
    found = read(line)
    assert isinstance(found, Sentence), found
    return found


# Raw data of a research ship, published by NOAA's Physical Sciences Laboratory (PISTON 2019, R/V Sally Ride,
# flux/Raw/19259/gps01925920_raw.txt): the ship lay in the Philippine Sea at 18° 13.38' N 126° 06.13' E.
SHIP = (
    "$GPHDT,228.02,T*0F",
    "$GPGGA,195959.00,1813.38282955,N,12606.12767097,E,2,07,1.4,17.2,M,36.5,M,4.0,0129*78",
    "$GPGLL,1813.38282955,N,12606.12767097,E,195959.00,A,D*6D",
    "$GPVTG,262.13,T,265.08,M,1.31,N,2.43,K,D*2D",
    "$GPZDA,195959.00,16,09,2019,00,00*6A",
    "$GPRMC,195959.00,A,1813.38282955,N,12606.12767097,E,1.31,262.13,160919,3.0,W,D*21",
)


def test_what_a_research_ship_sent_is_read_as_it_lay() -> None:
    heading, gga, gll, vtg, zda, rmc = (good(line) for line in SHIP)

    there = (18 + 13.38282955 / 60, 126 + 6.12767097 / 60)
    for one in (gga, gll, rmc):
        assert one.place == pytest.approx(there, abs=1e-9)
    assert heading.values == {"heading_deg": 228.02}
    assert gga.values == {"hdop": 1.4}
    assert vtg.values == {"cog_deg": 262.13, "sog_kn": 1.31}
    assert rmc.values == {"cog_deg": 262.13, "sog_kn": 1.31, "variation_deg": -3.0}
    assert zda.time == rmc.time == datetime(2019, 9, 16, 19, 59, 59, tzinfo=UTC)


# D. DePriest, "NMEA data" (gpsinformation.org/dale/nmea.htm), the examples that most manuals repeat:
# 48° 07.038' N 11° 31.000' E; 49° 16.45' N 123° 11.12' W; 37° 51.65' S 145° 07.36' E.
@pytest.mark.parametrize(
    ("line", "place"),
    [
        ("$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47",
         (48 + 7.038 / 60, 11 + 31 / 60)),
        ("$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A",
         (48 + 7.038 / 60, 11 + 31 / 60)),
        ("$GPGLL,4916.45,N,12311.12,W,225444,A,*1D", (49 + 16.45 / 60, -(123 + 11.12 / 60))),
        ("$GPRMC,081836,A,3751.65,S,14507.36,E,000.0,360.0,130998,011.3,E*62",
         (-(37 + 51.65 / 60), 145 + 7.36 / 60)),
    ],
)  # fmt: skip
def test_places_of_the_common_examples_are_read(line: str, place: tuple[float, float]) -> None:
    assert good(line).place == pytest.approx(place, abs=1e-9)


# The same page for HDG and VTG; the others from documents and tests of open libraries and simulators (some
# examples there have wrong checksums: two are among those dropped below). VHW: fields as in marineapi's
# example `$VWVHW,000.0,T,001.5,M,1.0,N,1.85,K`, which has no checksum; ours is put to it.
# DPT's offset: "positive means distance from transducer to water line" (gpsd's NMEA page).
@pytest.mark.parametrize(
    ("line", "values"),
    [
        ("$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48", {"cog_deg": 54.7, "sog_kn": 5.5}),
        ("$HCHDG,101.1,,,7.1,W*3C",
         {"magnetic_deg": 101.1, "variation_deg": -7.1, "heading_deg": 94.0}),
        ("$WIMTW,25.8,C*02", {"water_c": 25.8}),
        ("$SDDPT,14.39,0.00*68", {"depth_m": 14.39}),
        ("$SDDPT,10.1,-1.5,*62", {"depth_m": 10.1}),
        ("$SDDPT,12.4,0.5,*49", {"depth_m": 12.9}),
        ("$SDDBT,19.3,f,5.8,M,3.2,F*31", {"depth_m": 5.8}),
        (with_checksum("VWVHW,000.0,T,001.5,M,1.0,N,1.85,K"),
         {"heading_deg": 0.0, "magnetic_deg": 1.5, "stw_kn": 1.0}),
    ],
)  # fmt: skip
def test_values_of_published_examples_are_read(line: str, values: dict[str, float]) -> None:
    assert good(line).values == pytest.approx(values)


@pytest.mark.parametrize("line", ["$SDDBT,,,,,,*45", "$SDMTW,,C*1A", "$SDHDG,,,,,*70"])
def test_instruments_that_have_nothing_to_say_say_nothing(line: str) -> None:
    # As a boat's own network sends them: nmea.de, published log of 6 July 2013.
    found = good(line)
    assert not found.values
    assert found.place is None


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (SHIP[5].replace("*21", "*22"), "wrong checksum"),
        (SHIP[5].replace("1813.38", "1814.38"), "wrong checksum"),
        ("$YXMTW,17.75,C*5D", "wrong checksum"),
        ("$SDDPT,2.4,,*7F", "wrong checksum"),
        (SHIP[5].partition("*")[0], "no checksum"),
        (SHIP[5][:40], "no checksum"),
        ("", "unreadable"),
        ("GPRMC", "unreadable"),
        ("$", "unreadable"),
        ("$GPGGA,1,2*zz", "unreadable"),
        (with_checksum("GPGSV,1,1,00"), "not used"),
        (with_checksum("PGRME,15.0,M,45.0,M,25.0,M"), "not used"),
        ("!AIVDM,1,1,,B,made_up,0*00", "not used"),
        (with_checksum("GPGGA,123519,4807.038,N,01131.000,E,0,00,,,M,,M,,"), "not valid"),
        (with_checksum("GPGGA,123519,4807.038,N,01131.000,E,6,00,,,M,,M,,"), "not valid"),
        (with_checksum("GPGLL,4916.45,N,12311.12,W,225444,V,"), "not valid"),
        (with_checksum("GPRMC,123519,A,4807.038,,01131.000,E,022.4,084.4,230394,,"), "unreadable"),
        (with_checksum("GPRMC,123519,A,4860.038,N,01131.000,E,022.4,084.4,230394,,"), "unreadable"),
        (with_checksum("GPRMC,123519,A,9107.038,N,01131.000,E,022.4,084.4,230394,,"), "unreadable"),
        (with_checksum("GPRMC,123519,A,4807.038,N,01131.000,E,fast,084.4,230394,,"), "unreadable"),
        (with_checksum("GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,993394,,"), "unreadable"),
        (with_checksum("IIMTW,inf,C"), "unreadable"),
        (with_checksum("IIMTW,85.0,C"), "unreadable"),
        (with_checksum("IIMTW,70.1,F"), "not valid"),
    ],
)  # fmt: skip
def test_what_is_not_sure_is_dropped_and_says_why(line: str, why: str) -> None:
    assert read(line) == why


def test_a_receiver_without_satellites_still_tells_the_time() -> None:
    found = good(with_checksum("GPRMC,063000.00,V,,,,,,,070226,,,N"))

    assert found.time == datetime(2026, 2, 7, 6, 30, tzinfo=UTC)
    assert (found.place, found.values) == (None, {})


@pytest.mark.parametrize("mode", ["E", "M", "S", "N"])
def test_a_place_that_is_estimated_typed_or_simulated_is_not_taken(mode: str) -> None:
    assert (
        good(with_checksum(f"GPRMC,123519,A,4807.038,N,01131.000,E,1,2,230394,,,{mode}")).place
        is None
    )


def test_small_letters_in_a_checksum_and_a_tag_block_do_no_harm() -> None:
    line = r"\s:gps,c:1568664000*0A\$GPHDT,228.02,T*0f"

    assert good(line + "\r\n").values == {"heading_deg": 228.02}


@given(st.one_of(st.text(max_size=120), st.text("$GPRMCHDVW,.*0123456789ANSEW-\\!", max_size=120)))
def test_no_line_whatever_raises(line: str) -> None:
    found = read(line)
    assert isinstance(found, Sentence) or found in DROP_REASONS


@given(st.lists(st.text("0123456789.,-NSEWAVTMKC", max_size=12), max_size=14), st.sampled_from(
    "RMC GGA GLL VTG VHW MTW DBT DBS DPT HDT HDM HDG ZDA".split()
))  # fmt: skip
def test_no_sentence_with_a_right_checksum_raises(fields: list[str], kind: str) -> None:
    found = read(with_checksum(",".join([f"GP{kind}", *fields])))
    assert isinstance(found, Sentence) or found in DROP_REASONS
