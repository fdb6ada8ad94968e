"""How carry shifts with the air: a flight model used for ratios, never for absolute carry."""

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, hypot, inf, pi, radians, sin, sqrt

from practice.measures.air import G0
from practice.measures.answers import BadData
from practice.measures.arrays import Array, some_numbers

BALL_MASS = 0.04593  # kg, the most the rules of golf allow.
BALL_DIAMETER = 0.04267  # m, the least they allow.
SPIN_DECAY = 2e-5
MODEL_UNCERTAINTY = 0.02  # Of a ratio of carries (house rule).
# Of what wind does, house rule: another hand's model said a fifth more or less.
WIND_UNCERTAINTY = 0.2
STRONGEST_WIND = 25.0  # m/s; nobody practises in more.

# Drag and lift coefficient at a spin parameter (surface speed over ball speed).
Coefficients = Callable[[float], tuple[float, float]]


def usual_coefficients(spin_parameter: float) -> tuple[float, float]:
    """Drag and lift of a dimpled ball: 0.24 + 0.18 S and 0.54 S^0.4.

    Raises
    ------
    BadData
        The spin parameter is negative or not finite.

    References
    ----------
    Smits, A. J. & Smith, D. R. (1994), in Science and Golf II (from memory, not
    checked against print): use ratios only.
    """
    # Called at every step of a flight: the plain comparison is what that affords.
    if not isinstance(spin_parameter, int | float) or not 0 <= spin_parameter < inf:
        raise BadData("The spin parameter must be finite and not below zero.")
    return 0.24 + 0.18 * spin_parameter, 0.54 * spin_parameter**0.4


@dataclass(frozen=True, slots=True)
class Launch:
    """How a ball leaves: m/s, degrees up, spin in revolutions a minute."""

    speed: float
    angle: float
    spin: float


@dataclass(frozen=True, slots=True)
class Wind:
    """Air that moves alike at every height, m/s: from behind and to the right are plus."""

    along: float = 0.0
    across: float = 0.0


STILL = Wind()


@dataclass(frozen=True, slots=True)
class Flight:
    """Carry and apex in metres, time in seconds, speed at landing in m/s.

    `side`: metres that wind took it to the right of its line.
    """

    carry: float
    apex: float
    time: float
    landing_speed: float
    side: float = 0.0


def fly(
    launch: Launch,
    density: float,
    *,
    wind: Wind = STILL,
    coefficients: Coefficients = usual_coefficients,
    start_height: float = 0.0,
    tolerance: float = 1e-10,
) -> Flight:
    """Integrate a ball's flight in air of one density until it is down again.

    Parameters
    ----------
    launch : Launch
        Speed 0 to 100 m/s, angle above 0 and below 90 (90 is allowed for checks).
    density : float
        kg/m3; 0 for a vacuum.
    wind : Wind
        Up to 25 m/s each way, of one strength at every height.
    coefficients : function of the spin parameter
    start_height : float
        Metres above the landing.
    tolerance : float
        Of the integration, relative and in SI units.

    Raises
    ------
    BadData
        Speed, angle, spin, density, wind or height out of range.

    Notes
    -----
    m dv/dt = -(1/2) rho A u (CD u - CL n x u) - m g, with u the velocity through the
    air and n the axis of spin, level and square to the line; spin decays as
    -2e-5 w u / r (Smits & Smith 1994, by way of Penner 2001).

    References
    ----------
    Penner, A. R. (2001). American Journal of Physics 69, 563-568.
    """
    from scipy.integrate import solve_ivp

    _check(launch, density, start_height, tolerance)
    _check_wind(wind)
    angle, radius = radians(launch.angle), BALL_DIAMETER / 2
    k = density * pi * radius**2 / (2 * BALL_MASS)

    def forces(_time: float, state: Array) -> list[float]:
        _x, _y, _z, vx, vy, vz, spin = state
        ux, uz = vx - wind.along, vz - wind.across
        speed = sqrt(ux * ux + vy * vy + uz * uz)
        drag, lift = coefficients(radius * spin / speed if speed else 0.0)
        ax = -k * speed * (drag * ux + lift * vy)
        ay = -k * speed * (drag * vy - lift * ux) - G0
        az = -k * speed * drag * uz
        return [vx, vy, vz, ax, ay, az, -SPIN_DECAY * spin * speed / radius * (density > 0)]

    def down(_time: float, state: Array) -> float:
        return float(state[1])

    def top(_time: float, state: Array) -> float:
        return float(state[4])

    down.terminal, down.direction = True, -1  # type: ignore[attr-defined]  # Read by SciPy.
    start = [0.0, start_height + 1e-12, 0.0]
    leaves = [launch.speed * cos(angle), launch.speed * sin(angle), 0.0]
    path = solve_ivp(
        forces,
        (0, 60),
        [*start, *leaves, launch.spin * 2 * pi / 60],
        events=(down, top),
        method="DOP853",
        rtol=tolerance,
        atol=tolerance,
    )
    end = [float(value) for value in path.y_events[0][0]]
    apex = float(max((state[1] for state in path.y_events[1]), default=0.0))
    return Flight(end[0], apex, float(path.t_events[0][0]), hypot(*end[3:6]), end[2])


def _check(launch: Launch, density: float, start_height: float, tolerance: float) -> None:
    figures = [launch.speed, launch.angle, launch.spin, density, start_height, tolerance]
    some_numbers(figures, "launch, air and tolerance")
    if not (0 < launch.speed <= 100 and 0 < launch.angle <= 90 and launch.spin >= 0):
        raise BadData("A launch has up to 100 m/s, an angle up to 90 degrees and no negative spin.")
    if density != 0 and not 0.7 <= density <= 1.5:
        raise BadData("The density of air lies between 0.7 and 1.5 kg/m3.")
    if start_height < 0:
        raise BadData("The start may not be below the landing.")
    if not 0 < tolerance < 1:
        raise BadData("The tolerance must lie between 0 and 1.")


def _check_wind(wind: Wind) -> None:
    along, across = some_numbers([wind.along, wind.across], "wind")
    if max(abs(along), abs(across)) > STRONGEST_WIND:
        raise BadData("The wind may blow at up to 25 m/s.")


@dataclass(frozen=True, slots=True)
class Ratio:
    """Carry in this air over carry in the reference air, its band, and the drift likewise."""

    carry: float
    low: float
    high: float
    side: float


def carry_ratio(
    launch: Launch,
    density: float,
    reference_density: float,
    *,
    wind: Wind = STILL,
    tolerance: float = 1e-10,
) -> Ratio:
    """Carry and drift in this air over carry in the reference air, which is still.

    Raises
    ------
    BadData
        As `fly`.

    Notes
    -----
    Ball temperature and club are left out; the band is the model's own uncertainty
    (House rule: 2 % of the ratio, and a fifth of what the wind does).
    """
    here = fly(launch, reference_density, tolerance=tolerance)
    calm = fly(launch, density, tolerance=tolerance)
    there = calm if wind == STILL else fly(launch, density, wind=wind, tolerance=tolerance)
    ratio = there.carry / here.carry
    blown = abs(there.carry - calm.carry) / here.carry
    doubt = ratio * MODEL_UNCERTAINTY + blown * WIND_UNCERTAINTY
    return Ratio(ratio, ratio - doubt, ratio + doubt, there.side / here.carry)
