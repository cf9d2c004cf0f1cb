"""A fifty-year daily file is read in under half a second."""

from datetime import date, timedelta

from sallow.care.weather import summarise
from sallow.weather_file import read_weather_file


def test_fifty_years_of_days(benchmark, tmp_path):
    start = date(1975, 1, 1)
    lines = ["STATION,DATE,TMAX,TMAX_ATTRIBUTES,TMIN,TMIN_ATTRIBUTES,PRCP,PRCP_ATTRIBUTES"]
    lines += [f'X,{start + timedelta(days=step)},301,",,7",152,",,7",{step % 40},",,7"' for step in range(18263)]
    path = tmp_path / "fifty.csv"
    path.write_text("\n".join(lines), encoding="utf-8")

    def read_and_sum_up():
        return summarise(read_weather_file(path).days, date(2025, 1, 1), 34.0)

    summary = benchmark(read_and_sum_up)
    assert (summary.first, summary.last) == (start, date(2024, 12, 31))
    if benchmark.stats is not None:
        assert benchmark.stats["median"] < 0.5
