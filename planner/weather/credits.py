"""What the licence of each weather source asks us to say, next to the data."""

from dataclasses import dataclass

CHANGED = "averaged to days and converted by this program"


@dataclass(frozen=True)
class Credit:
    """A source's name, its licence, and the words to show with its data."""

    name: str
    licence: str
    attribution: str


MET_NORWAY = Credit(
    "MET Norway",
    "NLOD 2.0 and CC BY 4.0 (https://creativecommons.org/licenses/by/4.0/)",
    f"Weather forecast based on data from MET Norway (https://www.met.no/en); {CHANGED}",
)
NASA_POWER = Credit(
    "NASA POWER",
    "NASA open data, free for any use",
    "The data was obtained from the National Aeronautics and Space Administration (NASA) Langley "
    "Research Center (LaRC) Prediction of Worldwide Energy Resource (POWER) Project funded "
    "through the NASA Earth Science/Applied Science Program",
)
OPEN_METEO = Credit(
    "Open-Meteo",
    "CC BY 4.0 (https://creativecommons.org/licenses/by/4.0/)",
    f"Weather data by Open-Meteo.com (https://open-meteo.com/); {CHANGED}",
)
OPEN_METEO_ENSEMBLE = Credit(
    "Open-Meteo ensemble",
    OPEN_METEO.licence,
    f"Weather data by Open-Meteo.com (https://open-meteo.com/), mean of an ensemble; {CHANGED}",
)
OPEN_METEO_ARCHIVE = Credit(
    "Open-Meteo archive",
    OPEN_METEO.licence,
    "Weather data by Open-Meteo.com (https://open-meteo.com/), from ERA5; contains modified "
    "Copernicus Climate Change Service information; neither the European Commission nor ECMWF "
    f"is responsible for any use; {CHANGED}",
)
NATIONAL_WEATHER_SERVICE = Credit(
    "US National Weather Service",
    "public domain (work of the US government)",
    "Forecast data: NOAA / National Weather Service",
)
PLACE_LIST = Credit("GeoNames", "CC BY 4.0", "Place data: GeoNames (geonames.org), CC BY 4.0")

CREDITS = {
    credit.name: credit
    for credit in (
        MET_NORWAY,
        NASA_POWER,
        OPEN_METEO,
        OPEN_METEO_ENSEMBLE,
        OPEN_METEO_ARCHIVE,
        NATIONAL_WEATHER_SERVICE,
    )
}


def credit_of(source: str) -> Credit:
    """Return the credit of a source; a file is the maker's own data."""
    return CREDITS.get(source, Credit(source, "your own data", source))
