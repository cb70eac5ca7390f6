"""A new number: a code for the old phone, and what is said to a phone of which nothing is kept."""

from advisor.dialogue.talk import CODE_MARK, GiveCode
from advisor.wording.segments import ROOM, cost

NEW_NUMBER = ("8", "5")


def test_the_old_phone_gets_a_code_by_sms_once_it_is_meant(known):
    known.type(*NEW_NUMBER)
    assert (known.spot, known.effects) == ("new_number.which", ())
    known.type("1")
    (effect,) = known.effects
    assert isinstance(effect, GiveCode)
    assert effect.text.startswith(f"{CODE_MARK}\n")
    assert CODE_MARK not in known.reply.text


def test_a_no_sends_none(known):
    known.type(*NEW_NUMBER, "2")
    assert (known.spot, known.effects) == ("welcome.menu", ())


def test_of_a_phone_of_which_nothing_is_kept_nothing_moves(talker):
    talker.dial()
    talker.type("1", "2", "2", *NEW_NUMBER)
    assert talker.spot == "new_number.nothing"
    assert "ask for the code on the old one" in talker.reply.text


def test_the_message_with_the_code_fits_one_sms_in_every_language(book):
    for language, voice in book.voices.items():
        assert cost(book.code_text(language), voice.alphabet) <= ROOM[voice.alphabet], language
