-- One row: the facts of the snapshot. code_basis is null where the firm has named no guideline. No parameters.
select snapshot, schema_version, created_at, catalog, code_basis, evenhand_version
from snapshot_info
