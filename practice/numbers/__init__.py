"""What the numbers of one student say: answers, the words for them, and their pages.

`*_read` reads rows, `*_card`, `*_table` and `*_weeks` are answers in SI as frozen
dataclasses (the API gives them as they are), `*_page` turns them into words.
"""
