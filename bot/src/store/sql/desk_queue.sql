-- As the queue, for one platform and a page at a time. A list shows nothing of a case's body: it
-- stays where it is.
-- $1 now, $2 milliseconds of waiting that move a case up one class, $3 limit, $4 platform, $5 first
SELECT
    queue.case_id, queue.urgency, queue.reasons, queue.since, queue.promised, queue.minutes,
    queue.taken_source, queue.taken_person, queue.taken_until,
    cases.id, cases.number, cases.source, cases.person_id, cases.room_id, cases.thread_id, cases.lift,
    cases.state, cases.opened_at, cases.updated_at, cases.version, '{}' AS body,
    lifters.display_name
FROM (
    SELECT
        waiting.case_id,
        CASE
            WHEN waiting.urgency <= 1 OR waiting.since >= $1 THEN waiting.urgency
            WHEN waiting.urgency - ($1 - waiting.since) / $2 < 1 THEN 1
            ELSE waiting.urgency - ($1 - waiting.since) / $2
        END AS class
    FROM queue AS waiting
    -- Lines of a program of before do not say their platform; their cases do. Not a join: that could be
    -- begun from all cases of the platform.
    WHERE COALESCE(
        NULLIF(waiting.source, ''), (SELECT own.source FROM cases AS own WHERE own.id = waiting.case_id)
    ) = $4
    ORDER BY
        class, waiting.promised IS NULL, waiting.promised, waiting.since, waiting.minutes, waiting.case_id
    LIMIT $3 OFFSET $5
) AS page
JOIN queue ON queue.case_id = page.case_id
JOIN cases ON cases.id = page.case_id
LEFT JOIN lifters ON lifters.source = cases.source AND lifters.person_id = cases.person_id
ORDER BY
    page.class, queue.promised IS NULL, queue.promised, queue.since, queue.minutes, queue.case_id
