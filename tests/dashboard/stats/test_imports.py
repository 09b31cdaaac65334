"""The statistics stand on numpy and scipy alone, so that they can be read and reused without the rest."""

import subprocess
import sys


def test_the_statistics_load_without_the_rest():
    program = (
        "import sys, dashboard.stats.intervals, dashboard.stats.shrinkage, dashboard.stats.discovery;"
        "print(*sorted({'pandas', 'duckdb', 'streamlit', 'altair', 'statsmodels'} & set(sys.modules)))"
    )
    found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert found.stdout.split() == []
