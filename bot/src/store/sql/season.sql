-- $1 platform, $2 from, $3 until, $4 limit. Marks of challenges that closed in that time.
SELECT sums.person_id AS person_id, lifters.display_name AS display_name, sums.entries AS entries,
       sums.total AS total, sums.squares AS squares,
       CAST(CASE WHEN hidden.person_id IS NULL THEN 0 ELSE 1 END AS BIGINT) AS is_hidden
FROM (
    SELECT a.person_id AS person_id, COUNT(*) AS entries, CAST(SUM(a.points) AS BIGINT) AS total,
           CAST(SUM(a.points * a.points) AS BIGINT) AS squares
    FROM challenges AS c
    JOIN challenge_answers AS a ON a.challenge = c.number AND a.source = c.source
    WHERE c.source = $1 AND c.closes_at >= $2 AND c.closes_at < $3 AND a.points IS NOT NULL
    GROUP BY a.person_id
) AS sums
LEFT JOIN lifters ON lifters.source = $1 AND lifters.person_id = sums.person_id
LEFT JOIN standing_hidden AS hidden ON hidden.source = $1 AND hidden.person_id = sums.person_id
ORDER BY sums.person_id
LIMIT $4
