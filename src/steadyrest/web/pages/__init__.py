"""What each page shows: one dataclass a page, already worded, so that a template only lays out.

Not here: how it looks (templates/, static/css/), what it means (desk). A test holds each against its template.
"""
