"""What a page says, for tests that read it as a person would."""

import html
import re


def spaced(text: str) -> str:
    """A sentence with every kind of space the same."""
    return re.sub(r"\s", " ", text)


def words_of(answer) -> str:
    """The words of a page: tags out, every kind of space the same."""
    body = re.sub(r"<(script|style).*?</\1>", " ", answer.content.decode(), flags=re.S)
    body = re.sub(r"</?(a|b|small|span|time)\b[^>]*>", "", body)  # these part no words
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body))).strip()


def hidden_of(answer, action: str) -> dict[str, str]:
    """Every hidden input of the form that posts to ``action``."""
    form = re.search(
        rf'<form method="post" action="{re.escape(action)}".*?</form>', answer.content.decode(), re.S
    )
    assert form, f"no form posts to {action}"
    inputs = re.findall(r"<input[^>]*type=\"hidden\"[^>]*>", form.group())
    pairs = [(re.search(r'name="([^"]*)"', one), re.search(r'value="([^"]*)"', one)) for one in inputs]
    return {name.group(1): html.unescape(value.group(1)) for name, value in pairs if name and value}
