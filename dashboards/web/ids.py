"""Every component id, once."""

URL = "url"
DRAFT = "draft"
REVISION = "revision"
LEVERS = "levers"
SETTLED = "settled"
SETTLED_FARM = "settled-farm"
HEAD_VERDICT = "head-verdict"
SCHEME = "scheme"
SCHEME_SWITCH = "scheme-switch"
PROBLEMS = "problems"
FORM_PAINTED = "form-painted"

NAV = "nav"
PAGE = "page"
HEADLINE = "headline"
FAULTS = "faults"
LOST = "lost"

FILE = "file"
SAVE = "save"
SAVE_OVER = "save-over"
SAVE_AS = "save-as"
SAVE_NAME = "save-name"
UNDO = "undo"
REDO = "redo"
SAVING = "saving"
ADDRESS = "address"
FOCUS = "focus"
SAID = "said"
CONFLICT = "conflict"
SECTION = "section"
ENTRY = "entry"
FORM = "form"
QUESTIONS = "questions"
QUESTIONS_PAINTED = "questions-painted"
ANSWER_FAULTS = "answer-faults"
SO_FAR = "so-far"
SO_FAR_NOW = "so-far-now"
SO_FAR_SURE = "so-far-sure"

TAB = "tab"
TAB_BODY = "tab-body"
LADDER = "ladder-figure"
STEPS = "steps-figure"
BALANCE = "balance-figure"
OIL_MONTHS = "oil-months-figure"
HOURS_MONTHS = "hours-months-figure"
BACK = "back"

THINNER_SCOPE = "thinner-scope"
THINNER_BODY = "thinner-body"
THINNER_TIES = "thinner-ties"
THINNER_MOVED = "thinner-moved"

PRESENT_BODY = "present-body"
PRINT = "print"
DOWNLOADS = "downloads"


def part(name: str) -> dict[str, str]:
    """Return the id of a part of the first screen that levers move."""
    return {"type": "first", "path": name}


def field(path: str) -> dict[str, str]:
    """Return the id of a form field's input."""
    return {"type": "v", "path": path}


def action(what: str, path: str) -> dict[str, str]:
    """Return the id of a button that adds, copies or removes."""
    return {"type": "do", "what": what, "path": path}


def blank(key: str) -> dict[str, str]:
    """Return the id of a question's box."""
    return {"type": "q", "path": key}
