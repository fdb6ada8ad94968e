"""The density of air: the standard atmosphere, and moist air as weighed."""

from math import exp

from practice.measures.answers import BadData
from practice.measures.arrays import some_numbers

G0 = 9.80665  # m/s2, standard gravity.
EARTH_RADIUS = 6_356_766.0  # m, of the standard atmosphere.
GAS_CONSTANT = 8314.32  # J/(kmol K), as the standard atmosphere has it.
MOLAR_MASS = 28.9644  # kg/kmol.
LAPSE = 0.0065  # K/m.
SEA_TEMPERATURE, SEA_PRESSURE = 288.15, 101_325.0
HIGHEST = 11_000.0


def standard_atmosphere(altitude: float) -> tuple[float, float, float]:
    """Temperature (K), pressure (Pa) and density (kg/m3) at a geometric altitude in metres.

    Raises
    ------
    BadData
        Below -500 m or above 11 km, or not finite.

    References
    ----------
    U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562).

    Examples
    --------
    >>> [round(value, 3) for value in standard_atmosphere(0)]
    [288.15, 101325.0, 1.225]
    """
    z = float(some_numbers([altitude], "altitude")[0])
    if not -500 <= z <= HIGHEST:
        raise BadData("The altitude must lie between -500 and 11,000 m.")
    height = EARTH_RADIUS * z / (EARTH_RADIUS + z)
    temperature = SEA_TEMPERATURE - LAPSE * height
    gas = GAS_CONSTANT / MOLAR_MASS
    pressure = SEA_PRESSURE * (temperature / SEA_TEMPERATURE) ** (G0 / (gas * LAPSE))
    return temperature, pressure, pressure / (gas * temperature)


def moist_air_density(celsius: float, pressure: float, humidity: float) -> float:
    """Density of moist air in kg/m3.

    Parameters
    ----------
    celsius : float
        Air temperature.
    pressure : float
        Pa, as at the place (not reduced to sea level).
    humidity : float
        Relative humidity as a share, 0 to 1.

    Raises
    ------
    BadData
        Temperature outside -20 to 50, pressure outside 500 to 1100 hPa, or humidity
        outside 0 to 1.

    Notes
    -----
    CIPM-2007, with 400 ppm of carbon dioxide. Its stated range is 600 to 1100 hPa and
    15 to 27 degrees; outside it extrapolates, within 0.07 % of an ideal-gas mixture.
    Moist air is lighter than dry.

    References
    ----------
    Picard, A., Davis, R. S., Glaser, M. & Fujii, K. (2008). Metrologia 45, 149-155.

    Examples
    --------
    >>> round(moist_air_density(20, 101325, 0.5), 6)
    1.199314
    """
    some_numbers([celsius, pressure, humidity], "air readings")
    if not (-20 <= celsius <= 50 and 50_000 <= pressure <= 110_000 and 0 <= humidity <= 1):
        raise BadData("The air readings are outside what this formula is for.")
    t, kelvin = celsius, celsius + 273.15
    saturated = exp(
        1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin
    )
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * t**2
    vapour = humidity * enhancement * saturated / pressure
    compressibility = _compressibility(t, kelvin, pressure, vapour)
    dry, water, gas = 28.96546e-3, 18.01528e-3, 8.314472
    density = pressure * dry / (compressibility * gas * kelvin)
    return density * (1 - vapour * (1 - water / dry))


def _compressibility(t: float, kelvin: float, pressure: float, vapour: float) -> float:
    first = (
        1.58123e-6
        - 2.9331e-8 * t
        + 1.1043e-10 * t**2
        + (5.707e-6 - 2.051e-8 * t) * vapour
        + (1.9898e-4 - 2.376e-6 * t) * vapour**2
    )
    second = 1.83e-11 - 0.765e-8 * vapour**2
    return 1 - pressure / kelvin * first + (pressure / kelvin) ** 2 * second
