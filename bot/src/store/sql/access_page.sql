-- $1 platform, $2 lines below this one, $3 limit. The number is looked up line by line: joined, the
-- engine may walk all cases for a page of them.
SELECT
    page.seq, page.at, page.source, page.person_id, page.what, page.case_id, page.action_id,
    page.outcome,
    (SELECT cases.number FROM cases WHERE cases.id = page.case_id) AS number
FROM (
    SELECT * FROM access_log WHERE source = $1 AND seq < $2 ORDER BY seq DESC LIMIT $3
) AS page
ORDER BY page.seq DESC
