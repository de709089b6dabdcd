-- $1 platform, $2 lines below this one, $3 limit.
SELECT
    page.seq, page.at, page.source, page.person_id, page.what, page.case_id, page.action_id,
    page.outcome, cases.number
FROM (
    SELECT * FROM access_log WHERE source = $1 AND seq < $2 ORDER BY seq DESC LIMIT $3
) AS page
LEFT JOIN cases ON cases.id = page.case_id
ORDER BY page.seq DESC
