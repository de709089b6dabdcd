DELETE FROM sessions WHERE hash IN (
    SELECT hash FROM sessions WHERE ends_at <= $1 LIMIT $2
)
