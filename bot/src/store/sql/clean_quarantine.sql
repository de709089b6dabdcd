DELETE FROM quarantine WHERE (source, id) IN (
    SELECT source, id FROM quarantine WHERE received_at < $1 LIMIT $2
)
