"""Captures that are read: separators, decimals, units, heads, encodings, and what is said of it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.captures import Samples, read_capture
from tests.diagnostics.captures.files import GOOD, written


def said(samples: Samples) -> str:
    return " ".join(samples.read_as)


def values(samples: Samples) -> list[list[float]]:
    found: list[list[float]] = samples.channels.round(9).tolist()
    return found


def test_the_plainest_file() -> None:
    samples = read_capture(GOOD, name="spin.csv")

    assert samples.seconds.tolist() == [0.0, 0.001, 0.002]
    assert samples.channels.tolist() == [[0.1, 0.2, -0.3]]
    assert samples.names == ("A",)
    assert samples.units == ("V",)
    assert samples.read_as[0] == (
        "Columns between commas, decimal point; numbers from line 2 of spin.csv."
    )


@given(
    steps=st.lists(st.floats(1e-6, 1e-3), min_size=2, max_size=30),
    begin=st.floats(-1, 1),
    channels=st.integers(1, 8),
    separator=st.sampled_from([",", ";", "tab", "space"]),
    decimal=st.sampled_from([".", ","]),
    line_end=st.sampled_from(["\n", "\r\n", "\r"]),
    trailing=st.booleans(),
    named=st.booleans(),
    time_unit=st.sampled_from(["s", "ms", "us"]),
    data=st.data(),
)
@settings(deadline=None)
def test_what_was_written_is_read(
    steps: list[float],
    begin: float,
    channels: int,
    separator: str,
    decimal: str,
    line_end: str,
    trailing: bool,
    named: bool,
    time_unit: str,
    data: st.DataObject,
) -> None:
    if separator == "," and decimal == ",":
        separator = ";"
    factor = {"s": 1.0, "ms": 1e-3, "us": 1e-6}[time_unit]
    times = (begin + np.cumsum(steps)) / factor
    volts = data.draw(
        st.lists(
            st.lists(st.floats(-50, 50), min_size=len(steps), max_size=len(steps)),
            min_size=channels,
            max_size=channels,
        )
    )
    mark = {"tab": "\t", "space": "  "}.get(separator, separator)
    columns = [f"Time ({time_unit})", *(f"Channel {n} (V)" for n in range(1, channels + 1))]
    content = written(
        times.tolist(),
        *volts,
        separator=separator,
        decimal=decimal,
        head=mark.join(columns) if named else "",
        line_end=line_end,
        trailing=trailing and separator != "space",
    )

    samples = read_capture(content, time_unit="" if named else time_unit)

    assert np.array_equal(samples.seconds, times * factor)
    assert np.array_equal(samples.channels, np.array(volts))
    assert samples.names == tuple(f"Channel {n}" for n in range(1, channels + 1))
    assert samples.units == (("V",) if named else ("",)) * channels


@pytest.mark.parametrize(
    ("head", "seconds", "unit", "value"),
    [
        ("Time (ms);Sensor (mV)", 0.002, "V", 0.002),
        ("Time [us];Sensor [V]", 2e-6, "V", 2.0),
        ("Zeit / ms;Spannung / mV", 0.002, "V", 0.002),
        ("time in milliseconds;current in milliamperes", 0.002, "A", 0.002),
        ("t_ms;u_mV", 0.002, "V", 0.002),
        ("Time (µs);LF (µV)", 2e-6, "V", 2e-6),
        ("TIME (MS);SENSOR (MV)", 0.002, "V", 0.002),
        ("s;V", 2.0, "V", 2.0),
        ("Time;Channel A\n(ms);(mV)", 0.002, "V", 0.002),
        ("Time;Channel A\nms;V", 0.002, "V", 2.0),
        ("Time;Line\n(ms);(bar)", 0.002, "", 2.0),
        ("# Time (ms); Sensor (V)", 0.002, "V", 2.0),
    ],
)
def test_units_in_the_head(head: str, seconds: float, unit: str, value: float) -> None:
    samples = read_capture(f"{head}\n1;1\n2;2\n3;3\n".encode())

    assert samples.seconds[1] == pytest.approx(seconds, rel=1e-12)
    assert samples.units == (unit,)
    assert samples.channels[0, 1] == pytest.approx(value, rel=1e-12)
    assert "as the file says" in said(samples)


def test_a_channel_called_a_is_no_ampere() -> None:
    samples = read_capture(b"Time (s),Channel A,Channel B\n0.1,1,2\n0.2,3,4\n")
    assert samples.names == ("Channel A", "Channel B")
    assert samples.units == ("", "")
    assert "Channel A: the file names no unit; read as volts." in samples.read_as


def test_a_unit_that_is_not_known_is_said() -> None:
    samples = read_capture(b"Time (s),Line (bar)\n0.1,1\n0.2,3\n")
    assert samples.units == ("",)
    assert "Line: its unit “bar” is not known; read as volts." in samples.read_as


def test_an_endless_head_does_not_keep_anybody_waiting() -> None:
    head = b"Time (s),A (" + b" " * 1900
    samples = read_capture(head + b"\n0.1,1\n0.2,3\n")
    assert samples.names == ("A (",)


def test_two_channels_of_one_name_are_told_apart() -> None:
    samples = read_capture(b"Time (s),In (V),In (V)\n0.1,1,2\n0.2,3,4\n")
    assert samples.names == ("In", "In (2)")


@pytest.mark.parametrize(
    ("steps", "unit", "rate"),
    [
        (1e-5, "seconds", 1e5),
        (1e-3, "seconds", 1e3),
        (0.01, "milliseconds", 1e5),
        (0.1, "milliseconds", 1e4),
        (1.0, "milliseconds", 1e3),
        (10.0, "microseconds", 1e5),
        (100.0, "microseconds", 1e4),
    ],
)
def test_the_unit_of_time_is_inferred_from_a_likely_rate_and_said(
    steps: float, unit: str, rate: float
) -> None:
    times = [n * steps for n in range(200)]
    samples = read_capture(written(times, times))

    assert 1 / (samples.seconds[1] - samples.seconds[0]) == pytest.approx(rate)
    assert f"Read as {unit}" in said(samples)


def test_the_unit_chosen_goes_before_the_one_in_the_head() -> None:
    samples = read_capture(b"Time (s),A (V)\n0,1\n1,2\n", time_unit="ms")
    assert samples.seconds.tolist() == [0.0, 0.001]
    assert "Time in milliseconds, as chosen." in samples.read_as


def test_volts_without_time_need_the_sample_rate() -> None:
    samples = read_capture(b"A (mV)\n100\n200\n300\n", sample_rate=1000.0)
    assert samples.seconds.tolist() == [0.0, 0.001, 0.002]
    assert values(samples) == [[0.1, 0.2, 0.3]]
    assert "Time from the sample rate given." in samples.read_as


def test_a_counter_column_is_left_out_and_said() -> None:
    samples = read_capture(b"Sample,Time (ms),A (V)\n0,0.5,7\n1,1.0,8\n2,1.5,9\n")
    assert samples.seconds.tolist() == [0.0005, 0.001, 0.0015]
    assert samples.channels.tolist() == [[7.0, 8.0, 9.0]]
    assert "Not read, as it is no channel: column 1." in samples.read_as


def test_the_same_time_for_each_channel_is_read_once() -> None:
    head = b"Time (s),A (V),Time (s),B (V)\n"
    samples = read_capture(head + b"0,1,0,5\n0.001,2,0.001,6\n")
    assert samples.names == ("A", "B")
    assert samples.channels.tolist() == [[1.0, 2.0], [5.0, 6.0]]


def test_lines_above_the_head_and_blank_ones_below_are_passed_over() -> None:
    content = (
        b"Instrument;two channels\nDate;25.11.2026\nSample rate;1000\n\n"
        b"Time (s);A (V)\n\n0,000;1,5\n0,001;2,5\n" + b"\n" * 5000 + b";\n;;\n"
    )
    samples = read_capture(content)
    assert samples.seconds.tolist() == [0.0, 0.001]
    assert samples.channels.tolist() == [[1.5, 2.5]]
    assert "numbers from line 7" in samples.read_as[0]


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16", "utf-16-le", "utf-16-be"]
)
def test_encodings(encoding: str) -> None:
    text = "Time (ms);Fühler µ (mV)\n0,5;10,0\n1,0;20,0\n"
    samples = read_capture(text.encode(encoding))
    assert samples.names == ("Fühler µ",)
    assert samples.seconds.tolist() == [0.0005, 0.001]
    assert values(samples) == [[0.01, 0.02]]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_no_sample_is_lost_where_a_file_has_no_head(encoding: str) -> None:
    samples = read_capture("0.5,1.5\n0.6,2.5\n0.7,3.5\n".encode(encoding), time_unit="s")
    assert samples.seconds.tolist() == [0.5, 0.6, 0.7]


@pytest.mark.parametrize(
    "content",
    [
        b'"Time (s)","A (V)"\n"0,5","1,5"\n"0,6","2,5"\n',
        b'"Time (s)";"A (V)"\n"0,5";"1,5"\n"0,6";"2,5"\n',
        b'"Time (s)","A (V)"\n0.5,1.5\n0.6,2.5\n',
        b'"Time (s)"\t"A (V)"\n"0.5"\t"1.5"\n"0.6"\t"2.5"\n',
        b"Time (s)  A (V)\n  0.5   1.5\n  0.6   2.5  \n",
        b"Time (s), A (V)\n0.5, 1.5\n0.6, 2.5\n",
        b"Time (s) ; A (V) ;\n 0,5 ; 1,5 ;\n 0,6 ; 2,5 ;\n",
        b"Time (s);A (V)\n5,0E-1;15,0E-1\n6,0e-1;+2,5E+00\n",
        b"sep=;\nTime (s);A (V)\n0.5;1.5\n0.6;2.5\n\0\0\0\0",
    ],
)
def test_ways_of_writing_the_same(content: bytes) -> None:
    samples = read_capture(content)
    assert samples.seconds.tolist() == [0.5, 0.6]
    assert samples.channels.tolist() == [[1.5, 2.5]]
    assert samples.names == ("A",)


def test_whole_numbers_first_do_not_hide_the_decimal_comma() -> None:
    samples = read_capture(b"Time (ms);A (V)\n0;1\n1;2\n2;2,5\n")
    assert samples.channels.tolist() == [[1.0, 2.0, 2.5]]
    assert "decimal comma" in samples.read_as[0]


def test_unequal_steps_are_read_and_said() -> None:
    samples = read_capture(b"Time (s),A (V)\n0,1\n0.001,2\n0.005,3\n")
    assert samples.seconds.tolist() == [0.0, 0.001, 0.005]
    assert "The steps are unequal: from 1\u00a0ms to 4\u00a0ms." in said(samples)


def test_an_unusual_rate_is_said() -> None:
    assert "check the unit of time" in said(read_capture(b"t (s),A\n0,1\n1,2\n2,3\n"))
    assert "check the unit of time" not in said(read_capture(b"t (ms),A\n0,1\n1,2\n2,3\n"))


def test_equal_steps_written_with_few_digits_are_not_called_unequal() -> None:
    times = [round(n / 44_100, 7) for n in range(500)]
    assert "unequal" not in said(read_capture(written(times, times)))


@pytest.mark.parametrize("chosen", [{"time_unit": "h"}, {"decimal": ";"}, {"separator": "|"}])
def test_an_argument_that_does_not_exist_is_the_callers_mistake(chosen: dict[str, str]) -> None:
    with pytest.raises(ValueError, match=r"unit of time|decimal mark|separator"):
        read_capture(GOOD, **chosen)  # type: ignore[arg-type]
