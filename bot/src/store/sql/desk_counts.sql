-- How much waits, by urgency, and how much of it is past its promise. $1 now, $2 platform
SELECT
    queue.urgency,
    COUNT(*) AS number,
    COUNT(CASE WHEN queue.promised < $1 THEN 1 END) AS overdue
FROM queue
JOIN cases ON cases.id = queue.case_id
WHERE cases.source = $2
GROUP BY queue.urgency
ORDER BY queue.urgency
