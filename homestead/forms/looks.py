"""How forms look: one style sheet, and layouts shared by all fields.

Hundreds of copies of a layout would slow the page. Texts that a screen reader needs and an eye
does not (the name of a table's cell, the member that a button belongs to) are clipped, not left
out: the part behind a line break is the hidden one.
"""

import ipywidgets as widgets

from homestead.screen.escaping import html_text

VIEW = "application/vnd.jupyter.widget-view+json"
CSS = """
.jp-Notebook .hs-static{display:none}
.jp-Cell:has(.hs-strip){position:sticky;top:0;z-index:9;background:var(--jp-layout-color0,#fff);
 box-shadow:0 3px 6px -4px rgba(0,0,0,0.5)}
.hs-strip.hs-form{max-width:none;border-left:6px solid #1d4e6b;padding:2px 0 2px 12px}
.jp-Cell:has(.hs-strip){padding-top:0;padding-bottom:0}
.hs-strip p{margin:0;line-height:1.3}
.hs-strip .hs-days{font-size:1.15em;white-space:nowrap}
.hs-strip .hs-days strong{font-size:1.6em}
.hs-strip .widget-html,.hs-strip .widget-html-content{margin:0;padding:0}
.hs-strip .hs-back{margin-left:1.4em}
.hs-strip .hs-strip-row{align-items:center;gap:0 18px;overflow:visible;flex-wrap:wrap}
.hs-strip .hs-strip-row{justify-content:space-between;font-size:0.93em}
.hs-strip .hs-strip-note{color:var(--jp-ui-font-color2,#5c5c5c)}
.hs-strip .hs-bar{padding:0}
.hs-strip .hs-old{opacity:0.5}
.hs-form{max-width:66rem;color:var(--jp-ui-font-color1,#222);font-size:var(--jp-ui-font-size1,13px)}
.hs-form .widget-html,.hs-form .jupyter-widget-html{overflow:visible}
.hs-form .widget-html-content{line-height:1.4;height:auto}
.hs-form .jupyter-button{height:auto;min-height:28px;line-height:1.4;padding:3px 10px;
 border-radius:4px;white-space:pre;text-align:left;color:var(--jp-ui-font-color1,#222)}
.hs-form .jupyter-button:disabled{opacity:1;color:var(--jp-ui-font-color2,#5c5c5c);
 background:transparent;border:1px dashed var(--jp-border-color1,#bdbdbd)}
.hs-form :focus-visible{outline:3px solid #1d4e6b!important;outline-offset:1px}
.hs-form .hs-section>.jupyter-button{width:100%;font-size:1.15em;font-weight:600;
 background:var(--jp-layout-color2,#eee);margin:6px 0 0;
 padding:7px 12px;border-left:5px solid #1d4e6b}
.hs-form .hs-body{padding:2px 4px 10px 16px;overflow:visible}
.hs-form h4{margin:12px 0 2px;font-size:1.05em}
.hs-form .hs-about{color:var(--jp-ui-font-color2,#5c5c5c)}
.hs-form .hs-row{align-items:flex-start;gap:0 6px;overflow:visible;flex-wrap:wrap}
.hs-form .hs-row .widget-label{text-align:left;line-height:1.25;white-space:normal;
 height:auto;align-self:flex-start;padding:6px 8px 0 0;color:inherit}
.hs-form .hs-row .hs-short,.hs-form .hs-row .hs-help>summary{margin-top:2px}
.hs-form .widget-checkbox .widget-label-basic{width:auto;white-space:normal;height:auto;
 line-height:1.25}
.hs-form .hs-short{min-width:0;height:28px;overflow:hidden;font-size:0.92em;
 padding:3px 8px;line-height:22px}
.hs-form .hs-sure{width:7.6em!important;background:transparent;
 border:1px solid var(--jp-border-color1,#bdbdbd)}
.hs-form .hs-act{width:6.6em!important;background:transparent;
 border:1px solid var(--jp-border-color1,#bdbdbd)}
.hs-form .hs-act.hs-copy{width:4.6em!important}
.hs-form .hs-note{flex:1 1 14em;min-width:11em}
.hs-form .hs-note p{margin:0}
.hs-form .hs-note .widget-html-content{display:flex;flex-wrap:wrap;align-items:center}
.hs-form .hs-note .hs-help[open]{flex-basis:100%}
.hs-form .hs-help{display:inline}
.hs-form .hs-help>summary{display:inline-block;list-style:none;width:22px;height:22px;
 line-height:20px;text-align:center;border:1px solid #1d4e6b;border-radius:50%;cursor:pointer;
 font-weight:600;margin-right:6px}
.hs-form .hs-help>summary::-webkit-details-marker{display:none}
.hs-form .hs-help[open]>div{padding:3px 0 4px;max-width:34em}
.hs-form .hs-wrong{border-left:4px solid #a3261b;padding-left:8px!important;
 color:var(--jp-ui-font-color1,#222)}
.hs-form .hs-more{margin:0 0 6px 1em;padding:4px 10px;border-left:3px solid #e2b736;
 overflow:visible}
.hs-form .hs-table{gap:2px 6px;align-items:center;overflow:visible;width:100%}
.hs-form .hs-table .hs-head .widget-html-content{font-weight:600;line-height:1.2}
.hs-form .hs-table .hs-head small{font-weight:400;color:var(--jp-ui-font-color2,#5c5c5c)}
.hs-form .hs-table .hs-cell{width:auto;min-width:0;margin:0}
.hs-form .hs-table .hs-cell .widget-label{position:absolute;width:1px!important;height:1px;
 overflow:hidden;clip-path:inset(50%);white-space:nowrap;margin:0}
.hs-form .hs-bar .hs-clip .widget-label{white-space:pre;width:3em!important;height:22px;
 line-height:22px;overflow:hidden;text-align:left;flex:0 0 auto}
.hs-form .hs-more p{margin:2px 0}
.hs-form .hs-example input{border:1px dashed #8a6d1d;font-style:italic}
.hs-form .hs-typical input{border:1px dotted #1d4e6b;font-style:italic}
.hs-form .hs-line .widget-label{text-align:left}
.hs-form .hs-lead{width:33em;flex:0 0 auto;padding-top:4px}
.hs-form .hs-span{grid-column:1/-1;overflow:visible}
.hs-form .hs-acts{overflow:visible;gap:3px;flex-wrap:nowrap}
.hs-form .hs-acts .jupyter-button,.hs-form .hs-bar .jupyter-button{margin:0}
.hs-form .hs-bar{gap:4px 6px;flex-wrap:wrap;align-items:center;overflow:visible;padding:4px 0}
.hs-form .hs-bar .widget-dropdown{width:auto}
.hs-form .hs-bar .widget-label{width:auto!important}
.hs-form .hs-status p{margin:2px 0}
@media (max-width:900px){
.hs-form .hs-row .widget-inline-hbox{flex-wrap:wrap;width:calc(100% - 6px)!important;height:auto}
.hs-form .hs-row .widget-inline-hbox>.widget-label{width:100%!important;padding:6px 0 2px}
.hs-form .hs-row .widget-inline-hbox>:is(input,select){flex:1 1 10em;min-height:28px}
.hs-form .hs-lead{width:100%}
.hs-form .hs-table{overflow-x:auto;gap:2px 4px}
.hs-form .hs-acts .hs-act.jupyter-button{width:5.4em!important;padding:3px 4px;font-size:0.85em}
.hs-form .hs-acts .hs-act.hs-copy.jupyter-button{width:3.6em!important}
.hs-form .hs-body{padding:2px 0 10px 6px}
.hs-strip .hs-days{white-space:normal}
.hs-strip .hs-back{margin-left:0.7em}
.hs-strip .hs-days strong{font-size:1.35em}
}
.hs-form .hs-status{min-height:1.6em}
"""


class Looks:
    """Layouts and styles, shared by all fields of a form."""

    def __init__(self):
        kinds = (widgets.Text, widgets.Combobox, widgets.Dropdown, widgets.Checkbox)
        wide = {"description_width": "19em"}
        self.styles = {kind: kind(style=wide).style for kind in kinds}
        self.cell_styles = {kind: kind(style={"description_width": "0"}).style for kind in kinds}
        short = {"description_width": "3em"}
        self.short_styles = {kind: kind(style=short).style for kind in kinds}
        self.field = widgets.Layout(width="33em", flex="0 0 auto")
        self.short = widgets.Layout(width="12em")
        self.auto = widgets.Layout(width="auto")
        self.plain = widgets.Layout(overflow="visible")
        self.hidden = widgets.Layout(display="none")

    def button(self, text, action, title="", kind="", hidden=""):
        """Button whose name for a screen reader may be longer than what is seen of it."""
        button = widgets.Button(
            description=f"{text}\n{hidden}" if hidden else text,
            tooltip=title or f"{text} {hidden}".strip(),
            layout=self.auto,
        )
        for word in kind.split():
            button.add_class(word)
        button.on_click(lambda _: action())
        return button

    def text(self, inner="", kind=""):
        """Place for HTML; the caller escapes."""
        place = widgets.HTML(inner, layout=self.plain)
        if kind:
            place.add_class(kind)
        return place

    def box(self, children, kind, across=False):
        """Box of widgets with a class of the style sheet."""
        make = widgets.HBox if across else widgets.VBox
        box = make(list(children), layout=widgets.Layout(overflow="visible"))
        for word in kind.split():
            box.add_class(word)
        return box


def alert(text):
    """Sentence that a screen reader says at once."""
    return f'<p role="alert" class="hs-wrong"><strong>Not saved:</strong> {html_text(text)}</p>'
