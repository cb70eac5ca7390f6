"""What an answer to an SMS in one line must name, for its tests."""

#: What the answer for 2 acres must name, at 20 kg an acre: common practice, no source.
FOR_2_ACRES = {
    "en": ("2 acres soybean", "Buy", "40 kg", "1x250 g", "Ul 4,675", "poison", "Follow the pack"),
    "sw": ("ekari 2", "Nunua", "40 kg", "1x250 g", "Ul 4,675", "sumu", "Fuata maelezo"),
    "hi": ("2 एकड़", "40 किलो", "1x250", "Ul 4,675", "जहर", "पैकेट"),
    "fr": ("2 acres soja", "Achat", "40 kg", "1x250 g", "Ul 4 675", "poison", "notice"),
}


LANGUAGES = {"en": "1", "sw": "2", "hi": "3", "fr": "4"}


def missing(shown, language):
    return [name for name in FOR_2_ACRES[language] if name not in shown]
