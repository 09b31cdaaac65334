"""Written rules with their sources, and the judge that turns recorded measures into verdicts by them."""
