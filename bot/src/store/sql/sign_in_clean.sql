DELETE FROM sign_in_links WHERE expires_at <= $1
