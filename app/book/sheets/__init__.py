"""The book as a folder of plain CSV files: load, dump, and what the files hold."""

from app.book.sheets.dump import dump_folder
from app.book.sheets.faults import DumpReport, Fault, LoadRefused, LoadReport, SheetCount, Stopped
from app.book.sheets.guide import columns_of, describe_sheets
from app.book.sheets.load import load_folder

__all__ = [
    "DumpReport",
    "Fault",
    "LoadRefused",
    "LoadReport",
    "SheetCount",
    "Stopped",
    "columns_of",
    "describe_sheets",
    "dump_folder",
    "load_folder",
]
