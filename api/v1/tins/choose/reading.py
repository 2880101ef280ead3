"""From the request of `/v1/tins/choose` to the domain's question."""

from dataclasses import dataclass

from api.v1.job.reading import read_formula, read_portions
from api.v1.shop.selling import line_reader_of
from api.v1.tins.choose.schemas import ChooseRequest
from api.v1.tins.reading import read_tin_of
from api.wire.reading import read_optional_mm
from domain.errors import ErrorCollector
from domain.formulas.choosing import TinQuestion, tin_question
from domain.formulas.formula import WeighedFormula, weigh_formula
from domain.formulas.targets import Portions
from domain.shop.goods import Book
from domain.tins.choice import OwnTin
