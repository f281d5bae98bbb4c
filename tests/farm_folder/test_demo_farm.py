"""The demo farm: what its page promises of it, counted again from the folder alone."""

import csv
import tomllib
from collections import Counter, defaultdict
from datetime import date, timedelta
from pathlib import Path

import pytest

from haulm.crop_library.library import library_crop_for
from haulm.demand.precedence import demand
from haulm.farm.products import Product
from haulm.farm.varieties import Variety
from haulm.farm.weeks import Week, cut_days_for
from support.project_tree import ROOT

FOLDER = ROOT / "service/haulm/demo_farm/folder"
TODAY = date(2027, 3, 15)
