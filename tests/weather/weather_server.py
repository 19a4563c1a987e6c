"""A server on this machine that answers as two public weather services do, with their faults."""

import json
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pandas as pd

ELEVATION_M = 240.0
FILL = -999.0


def nasa_year(year, latitude, longitude, names, spoil=None):
    """One year in the form of NASA POWER's hourly answers (from memory); plain made-up weather."""
    index = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h")
    hour = index.hour.to_numpy() + longitude / 15.0
    day = index.day_of_year.to_numpy()
    season = np.cos(2 * np.pi * (day - 172) / 365)
    height = np.maximum(
        np.sin(np.radians(latitude)) * np.sin(np.radians(23.4 * season))
        + np.cos(np.radians(latitude))
        * np.cos(np.radians(23.4 * season))
        * np.cos(np.radians(15 * (hour - 12))),
        0.0,
    )
    clouds = 0.4 + 0.3 * np.sin(day * 1.7 + year)
    values = {
        "ALLSKY_SFC_SW_DWN": 1000 * height * clouds,
        "ALLSKY_SFC_SW_DNI": 600 * (height > 0) * clouds,
        "ALLSKY_SFC_SW_DIFF": 1000 * height * clouds * 0.4,
        "T2M": 12 + 12 * season + 5 * height - 3 * np.cos(day * 0.9 + year),
        "WS10M": np.full(len(index), 3.2),
        "RH2M": np.full(len(index), 71.0),
        "PRECTOTCORR": np.where(index.hour == 5, 2.4, 0.0),
    }
    stamps = index.strftime("%Y%m%d%H")
    parameter = {
        name: dict(zip(stamps, np.round(values[name], 2).tolist(), strict=True))
        for name in names
        if name in values
    }
    answer = {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [longitude, latitude, ELEVATION_M]},
        "properties": {"parameter": parameter},
        "header": {"title": "made up", "api": {"version": "v2"}, "fill_value": FILL},
        "times": {"data": 1.0},
        "parameters": {name: {"units": "", "longname": name} for name in parameter},
    }
    if spoil:
        spoil(answer, year)
    return json.dumps(answer).encode()


def pvgis_year(year, latitude, longitude):
    """One year in the form of PVGIS's hourly answers (from memory)."""
    plain = json.loads(
        nasa_year(
            year, latitude, longitude, ("ALLSKY_SFC_SW_DWN", "ALLSKY_SFC_SW_DIFF", "T2M", "WS10M")
        )
    )["properties"]["parameter"]
    rows = []
    for stamp, level in plain["ALLSKY_SFC_SW_DWN"].items():
        diffuse = plain["ALLSKY_SFC_SW_DIFF"][stamp]
        rows.append(
            {
                "time": f"{stamp[:8]}:{stamp[8:]}10",
                "Gb(i)": round(level - diffuse, 2),
                "Gd(i)": diffuse,
                "Gr(i)": 0.0,
                "H_sun": 30.0 if level > 0 else 0.0,
                "T2m": plain["T2M"][stamp],
                "WS10m": plain["WS10M"][stamp],
                "Int": 0.0,
            }
        )
    place = {"latitude": latitude, "longitude": longitude, "elevation": ELEVATION_M}
    answer = {"inputs": {"location": place}, "outputs": {"hourly": rows}, "meta": {"inputs": {}}}
    return json.dumps(answer).encode()


class Server:
    """What was asked, and which faults come next."""

    def __init__(self):
        self.asked, self.faults, self.spoil, self.url = [], [], None, ""

    def years_asked(self):
        return [int(query["start"][0][:4]) for _, query in self.asked if "start" in query]


@contextmanager
def serving():
    """A running `Server`; `faults` is a list of functions that answer in its place, once each."""
    state = Server()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            parts = urlsplit(self.path)
            query = parse_qs(parts.query)
            state.asked.append((parts.path, query))
            if state.faults and (fault := state.faults.pop(0)) is not None:
                fault(self)
                return
            latitude, longitude = (
                float(query[name][0])
                for name in (("lat", "lon") if "lat" in query else ("latitude", "longitude"))
            )
            if parts.path.endswith("printhorizon"):
                profile = [
                    {"A": step * 7.5 - 180.0, "H_hor": float(step % 9)} for step in range(49)
                ]
                body = {"outputs": {"horizon_profile": profile}, "meta": {}, "inputs": {}}
                content = json.dumps(body).encode()
            elif parts.path.endswith("seriescalc"):
                content = pvgis_year(int(query["startyear"][0]), latitude, longitude)
            else:
                content = nasa_year(
                    int(query["start"][0][:4]),
                    latitude,
                    longitude,
                    query["parameters"][0].split(","),
                    state.spoil,
                )
            self.answer(200, content)

        def answer(self, status, content, **headers):
            self.send_response(status)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(content)))
            for name, value in headers.items():
                self.send_header(name.replace("_", "-"), value)
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    state.url = f"http://127.0.0.1:{server.server_port}/"
    try:
        yield state
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def refused(status, body=b'{"message": "no"}', **headers):
    return lambda handler: handler.answer(status, body, **headers)


def cut(handler):
    """The connection breaks before there is an answer."""
    handler.connection.close()


def half(handler):
    """Half of a JSON, with the length of the half."""
    handler.answer(200, b'{"type": "Feature", "properties": {"parameter": {"T2M": {"2001')
