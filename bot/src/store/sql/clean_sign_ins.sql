DELETE FROM sign_in_links WHERE hash IN (
    SELECT hash FROM sign_in_links WHERE expires_at <= $1 LIMIT $2
)
