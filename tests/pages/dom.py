# SPDX-License-Identifier: GPL-3.0-or-later
"""What tests ask of a page that is open in a browser."""

# Rows of a section's table: the whole number behind a cell where there is one, else its text.
TABLE = """
const table = document.querySelectorAll('#' + arguments[0] + ' table')[arguments[1]];
return [...table.tBodies[0].rows].map(row => [...row.cells].map(cell =>
    'v' in cell.dataset ? Number(cell.dataset.v) : cell.textContent.trim()));
"""

# Label and text of a section's facts.
FACTS = """
return [...document.querySelectorAll('#' + arguments[0] + ' dt')].map(dt =>
    [dt.textContent.trim(), dt.nextElementSibling.innerText.trim()]);
"""

ITEMS = """
return [...document.querySelectorAll(arguments[0])].map(e => e.textContent.trim());
"""

# Every colour that carries something, against what it stands on: text, and strokes of pictures.
COLOURS = """
const canvas = document.createElement('canvas').getContext('2d', { willReadFrequently: true });
const rgb = colour => {
    canvas.clearRect(0, 0, 1, 1);
    canvas.fillStyle = colour;
    canvas.fillRect(0, 0, 1, 1);
    return [...canvas.getImageData(0, 0, 1, 1).data];
};
const ground = e => {
    for (; e; e = e.parentElement) {
        const colour = getComputedStyle(e).backgroundColor;
        if (rgb(colour)[3] > 0) return colour;
    }
    return 'white';
};
const found = new Map();
const add = (kind, e, colour) => {
    const on = ground(e);
    found.set(kind + colour + on, { kind, what: e.tagName + '.' + (e.getAttribute('class') ?? ''),
                                    colour: rgb(colour), on: rgb(on) });
};
for (const e of document.querySelectorAll('body *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim() !== '');
    const style = getComputedStyle(e);
    if (e.closest('script, style, desc, svg title')) continue;
    if (e.closest('svg')) {
        if (e.tagName === 'text') add('text', e, style.fill);
        else if (/\\b(pen.|limit|asked|frame|mark|cross|over|free|wanted|heat)\\b/.test(
                     e.getAttribute('class') ?? ''))
            add('stroke', e, style.stroke === 'none' || e.matches('.mark:not(.open)')
                                 ? style.fill : style.stroke);
    } else if (own) add('text', e, style.color);
    else if (e.tagName === 'INPUT' && e.type === 'text') add('stroke', e, style.borderBottomColor);
}
return [...found.values()];
"""

# What is wider than the screen without a way to scroll to it.
OVERFLOW = """
const wide = document.documentElement.clientWidth;
return document.documentElement.scrollWidth > wide ? document.documentElement.scrollWidth : 0;
"""

# Ids that stand twice, heads without a scope, tables without a caption, fields without a name.
MARKUP = """
const wrong = [];
const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
ids.filter((id, i) => ids.indexOf(id) !== i).forEach(id => wrong.push('id twice: ' + id));
document.querySelectorAll('th:not([scope])').forEach(e => wrong.push('head: ' + e.textContent));
for (const table of document.querySelectorAll('table'))
    if (!table.caption || table.caption.textContent.trim() === '') wrong.push('table ' + table.id);
for (const input of document.querySelectorAll('input'))
    if (!input.labels.length && !input.getAttribute('aria-label')) wrong.push('input');
for (const link of document.querySelectorAll('a'))
    if (!link.hash || !document.getElementById(link.hash.slice(1))) wrong.push('link ' + link.href);
return wrong;
"""


def channel(value):
    value /= 255.0
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def luminance(colour):
    """Relative luminance of WCAG 2.1."""
    red, green, blue = (channel(c) for c in colour[:3])
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first, second):
    """Contrast ratio of WCAG 2.1, 1 to 21."""
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
