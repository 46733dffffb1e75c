"""A map from a recorded drive, where a robot is in it, and what is there: the C library for Python, by ctypes. No compiler
is needed.

    import wainscot
    wainscot.build_map("my-drive", "my-map")                  # once, seconds to minutes
    house = wainscot.Map("my-map")
    robot = wainscot.Locator(house)
    robot.add_wheels(time_s, left_ticks, right_ticks)         # each time that they were read
    robot.add_scan(time_s, angles_deg, ranges, offsets_s)     # each turn of the lidar
    for here in robot.locations():
        print(here.time_s, here.answer, here.x_m, here.y_m, here.heading_rad)

Metres, radians counter-clockwise (but angles_deg), seconds on the wheels' clock; places in the map's frame. wainscot.h
says the rest. Never let an answer be the only thing that keeps a robot from falling or from hitting someone.
"""

import ctypes
import ctypes.util
import os
import pathlib

import numpy

OK, POOR_DATA, WRONG_INPUT, FAILED, NOTHING_YET, STOPPED = range(6)
ANSWERS = ("found", "ambiguous", "lost")
FLOORS = ("unknown", "free", "occupied")


class Error(Exception):
    """What the library refused, in a sentence with what to do."""


class PoorData(Error):
    """The data cannot give what was asked."""


_Progress = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_char_p, ctypes.c_double)


class Location(ctypes.Structure):
    """An answer: time_s, scan, x_m, y_m, heading_rad, sd_x_m, sd_y_m, sd_heading_rad, and answer as a word."""

    _fields_ = [
        ("time_s", ctypes.c_double),
        ("scan", ctypes.c_uint64),
        ("_answer", ctypes.c_int32),
        ("x_m", ctypes.c_double),
        ("y_m", ctypes.c_double),
        ("heading_rad", ctypes.c_double),
        ("sd_x_m", ctypes.c_double),
        ("sd_y_m", ctypes.c_double),
        ("sd_heading_rad", ctypes.c_double),
    ]

    @property
    def answer(self):
        return ANSWERS[self._answer]

    @property
    def is_found(self):
        return self._answer == 0


def _load():
    installed_with_this = pathlib.Path(__file__).resolve().parents[2] / "libwainscot.so.1"
    name = (
        os.environ.get("WAINSCOT_LIBRARY")
        or (str(installed_with_this) if installed_with_this.exists() else None)
        or ctypes.util.find_library("wainscot")
        or "libwainscot.so.1"
    )
    try:
        library = ctypes.CDLL(name)
    except OSError as error:
        raise Error(f"libwainscot is not found ({error}); install it, or name its file in WAINSCOT_LIBRARY") from None
    pointer, number, whole = ctypes.c_void_p, ctypes.c_double, ctypes.c_int64
    numbers = numpy.ctypeslib.ndpointer(dtype=numpy.float64, ndim=1, flags="C")
    signatures = {
        "version": (ctypes.c_char_p, []),
        "last_error": (ctypes.c_char_p, []),
        "build_map": (ctypes.c_int, [ctypes.c_char_p, ctypes.c_char_p, _Progress, pointer]),
        "open_map": (pointer, [ctypes.c_char_p]),
        "close_map": (None, [pointer]),
        "wall_distance": (ctypes.c_int, [pointer, number, number, ctypes.POINTER(number)]),
        "floor_at": (ctypes.c_int, [pointer, number, number, ctypes.POINTER(ctypes.c_int32)]),
        "new_locator": (pointer, [pointer, ctypes.c_char_p]),
        "delete_locator": (None, [pointer]),
        "add_wheels": (ctypes.c_int, [pointer, number, whole, whole]),
        "add_pose": (ctypes.c_int, [pointer, number, number, number, number]),
        "add_yaw_rate": (ctypes.c_int, [pointer, number, number]),
        "add_break": (ctypes.c_int, [pointer]),
        "add_scan": (ctypes.c_int, [pointer, number, ctypes.c_size_t, numbers, numbers, numbers]),
        "next_location": (ctypes.c_int, [pointer, ctypes.POINTER(Location)]),
        "restart": (ctypes.c_int, [pointer]),
    }
    for name, (result, arguments) in signatures.items():
        function = getattr(library, "wainscot_" + name)
        function.restype, function.argtypes = result, arguments
    return library


_library = _load()


def _raise(status):
    sentence = _library.wainscot_last_error().decode("utf-8", "replace")
    raise (PoorData if status == POOR_DATA else Error)(sentence)


def _require(status):
    if status != OK:
        _raise(status)


def _of_points(ask, kind, x_m, y_m):
    """What `ask` says of a point, or of each point of two arrays of one shape."""
    if numpy.ndim(x_m) == numpy.ndim(y_m) == 0:
        return ask(x_m, y_m)
    xs, ys = numpy.broadcast_arrays(x_m, y_m)
    answers = [ask(x, y) for x, y in zip(xs.flat, ys.flat)]
    return numpy.array(answers, dtype=kind).reshape(xs.shape)


def version():
    return _library.wainscot_version().decode()


def build_map(drive, folder, progress=None):
    """Maps the drive in the folder `drive` and writes the map's folder, which may not be there yet: the same bytes as
    `wainscot build DRIVE --out MAP` writes, whole or not at all. `progress(stage, fraction)` is called now and then; what
    it raises, KeyboardInterrupt too, stops the work and comes out here. PoorData: the drive gives no map, or one (it is
    there then) to be looked at and not to be used."""
    raised = []

    def told(_, stage, fraction):
        try:
            if progress is not None:
                progress(stage.decode(), fraction)
        except BaseException as error:  # none may cross the C function that calls this
            raised.append(error)
        return len(raised)

    status = _library.wainscot_build_map(os.fsencode(drive), os.fsencode(folder), _Progress(told), None)
    if raised:
        raise raised[0]
    _require(status)


class Map:
    """A map's folder, made by build_map() or the program. One of a form that this library does not read is refused with
    the command that renews it."""

    def __init__(self, folder):
        self._handle = _library.wainscot_open_map(os.fsencode(folder))
        if not self._handle:
            _raise(WRONG_INPUT)

    def wall_distance_m(self, x_m, y_m):
        """From a point to the nearest face of a wall or of furniture that the lidar saw and that, as far as the map knows,
        still stands; of arrays of points, an array."""
        return _of_points(self._wall_distance_m, numpy.float64, x_m, y_m)

    def floor_at(self, x_m, y_m):
        """What is at a point, as the map's cell there has it: "free", "occupied", or "unknown", which is also what lies
        outside of the map; of arrays of points, an array."""
        return _of_points(self._floor_at, numpy.str_, x_m, y_m)

    def _wall_distance_m(self, x_m, y_m):
        distance = ctypes.c_double()
        _require(_library.wainscot_wall_distance(self._handle, x_m, y_m, ctypes.byref(distance)))
        return distance.value

    def _floor_at(self, x_m, y_m):
        floor = ctypes.c_int32()
        _require(_library.wainscot_floor_at(self._handle, x_m, y_m, ctypes.byref(floor)))
        return FLOORS[floor.value]

    def __del__(self):
        if getattr(self, "_handle", None):
            _library.wainscot_close_map(self._handle)


class Locator:
    """A robot in a map. `robot_yaml`: the file of its constants; None: the robot that the map was made with."""

    def __init__(self, house, robot_yaml=None):
        self._map = house  # outlives the handle
        name = None if robot_yaml is None else os.fsencode(robot_yaml)
        self._handle = _library.wainscot_new_locator(house._handle, name)
        if not self._handle:
            _raise(WRONG_INPUT)

    def add_wheels(self, time_s, left_ticks, right_ticks):
        _require(_library.wainscot_add_wheels(self._handle, time_s, left_ticks, right_ticks))

    def add_pose(self, time_s, x_m, y_m, heading_rad):
        _require(_library.wainscot_add_pose(self._handle, time_s, x_m, y_m, heading_rad))

    def add_yaw_rate(self, time_s, yaw_rate_rad_s):
        _require(_library.wainscot_add_yaw_rate(self._handle, time_s, yaw_rate_rad_s))

    def add_break(self):
        _require(_library.wainscot_add_break(self._handle))

    def add_scan(self, time_s, angles_deg, ranges, offsets_s=None):
        """Beams in the order of firing, ranges in robot.yaml's unit, 0 or NaN for no return."""
        angles = numpy.ascontiguousarray(angles_deg, dtype=numpy.float64)
        far = numpy.ascontiguousarray(ranges, dtype=numpy.float64)
        late = numpy.zeros_like(angles) if offsets_s is None else numpy.ascontiguousarray(offsets_s, numpy.float64)
        if not angles.shape == far.shape == late.shape:
            raise Error("a scan has as many angles as ranges and offsets; give lists of one length")
        _require(_library.wainscot_add_scan(self._handle, time_s, len(angles), angles, far, late))

    def locations(self):
        """The answers that wait, one a scan."""
        while True:
            here = Location()
            status = _library.wainscot_next_location(self._handle, ctypes.byref(here))
            if status == NOTHING_YET:
                return
            _require(status)
            yield here

    def restart(self):
        _require(_library.wainscot_restart(self._handle))

    def __del__(self):
        if getattr(self, "_handle", None):
            _library.wainscot_delete_locator(self._handle)
