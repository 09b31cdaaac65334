-- One row: the version of the snapshot's tables. No parameters.
select schema_version from snapshot_info
