"""Path in, rows with their place out; no judgment.

A flat table (CSV, XLSX, Parquet) comes out as text under the contract's column names, for the bulk check in
DuckDB. A document (JSON, JSON Lines) comes out as one mapping an observation, for pydantic.
"""

from __future__ import annotations

from etl.readers.documents import read_documents
from etl.readers.flat import Flat
from etl.readers.read import read
from etl.readers.sources import Source, find_sources

__all__ = ["Flat", "Source", "find_sources", "read", "read_documents"]
