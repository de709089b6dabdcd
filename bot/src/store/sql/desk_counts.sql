-- How much waits, by urgency, and how much of it is past its promise. $1 now, $2 platform
SELECT
    queue.urgency,
    COUNT(*) AS number,
    COUNT(CASE WHEN queue.promised < $1 THEN 1 END) AS overdue
FROM queue
WHERE queue.source = $2
   -- Lines of a program of before do not say their platform; their cases do.
   OR (queue.source = '' AND (SELECT cases.source FROM cases WHERE cases.id = queue.case_id) = $2)
GROUP BY queue.urgency
ORDER BY queue.urgency
