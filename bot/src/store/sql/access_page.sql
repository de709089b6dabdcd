-- $1 platform, $2 lines below this one, $3 limit.
SELECT
    access_log.seq, access_log.at, access_log.source, access_log.person_id, access_log.what,
    access_log.case_id, access_log.action_id, access_log.outcome, cases.number
FROM (
    SELECT * FROM access_log WHERE source = $1 AND seq < $2 ORDER BY seq DESC LIMIT $3
) AS access_log
LEFT JOIN cases ON cases.id = access_log.case_id
ORDER BY access_log.seq DESC
