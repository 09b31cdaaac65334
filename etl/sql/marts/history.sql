-- The new versions of reports, as a file beside the snapshots. $path: where.
copy (
    select report_status.version, coming.load_id, coming.loaded_at, arriving.*
    from arriving inner join report_status using (report_id) cross join coming
) to $path (format parquet, compression zstd)
