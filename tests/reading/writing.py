"""Writing of a formula as a recipe's text, which `read_text` reads back as the same formula."""

from domain.reading.texts import ReadFormula, ReadLine


def write_formula(formula: ReadFormula) -> str:
    """A formula as text.

    Args:
        formula: as `read_text` gives it.
    Returns:
        A title, the tin, the oven and the time, then every component under a heading. The egg class is no part of
        the text: give it to `read_text` as an option.
    """
    lines = [formula.name]
    if formula.tin:
        lines.append(f"Tin: {f'{formula.tins} tins, ' if formula.tins > 1 else ''}{formula.tin}")
    if formula.oven:
        fan = "" if formula.fan is None else " fan" if formula.fan else " conventional"
        lines.append(f"Oven: {formula.oven}{fan}")
    if formula.minutes is not None:
        lines.append(f"Bake for {formula.minutes:g} minutes")
    for component in formula.components:
        if component.name != formula.name or len(formula.components) > 1:
            lines += ["", f"For the {component.name}:"]
        lines += [_line(line) for line in component.lines]
    return "\n".join(lines) + "\n"


def _line(line: ReadLine) -> str:
    packing = f" ({line.packing})" if line.packing else ""
    return f"{line.quantity}{packing} {line.ingredient}"
