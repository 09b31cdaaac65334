-- What is still refused: of a report that came whole, this load's refused rows; of a mended one, those not mended yet.
-- coming: one row on this load; mend is true where single rows came for reports that are there.
delete from refused
where
    (
        not (select mend from coming)
        and (
            report_id in (select report_id from staged)
            or report_id in (select report_id from rejected_rows)
        )
    )
    or exists (
        select 1 from staged
        where
            staged.raw_id is not null
            and staged.report_id = refused.report_id
            and staged.observation_no = refused.observation_no
    )
    -- A row that comes back mended names the file and the row that it stood in. Two loads may have had a file of that name:
    -- then the row's own report decides, or, where it had none, the newest load.
    or exists (
        select 1 from received
        where
            received.mended_file = refused.file
            and received.mended_row = refused.row::varchar
            and (
                received.report_id = refused.report_id
                or not exists (
                    select 1 from refused as other
                    where
                        other.file = refused.file
                        and other.row = refused.row
                        and (other.load_id > refused.load_id or other.report_id = received.report_id)
                )
            )
    )
    or exists (
        select 1 from rejected_rows
        where rejected_rows.report_id = refused.report_id and rejected_rows.observation_no = refused.observation_no
    );

insert into refused by name
select coming.load_id, rejected_rows.* from rejected_rows cross join coming;

update reports
set
    rows_refused = (select count(*) from refused where refused.report_id = reports.report_id),
    incomplete = exists (select 1 from refused where refused.report_id = reports.report_id)
