-- Changes with every verdict given, changed or erased.
SELECT COUNT(*) AS verdicts, COALESCE(MAX(at), 0) AS newest
FROM verdicts
