"""How what was typed gets into a plan: one entry, a range, a new member, a part that was absent.

Each change is tried on the plan as a whole; what does not hold is told beside its field and
changes nothing. Saving and showing is the form's.
"""

import functools
import traceback

from homestead.forms import faults
from homestead.forms.field import NEW, Member
from homestead.plan import PlanError
from homestead.questions import families
from homestead.screen import entries


def guarded(method):
    """Turn an error in a callback into a plain sentence in the form: else nobody sees it."""

    @functools.wraps(method)
    def wrapped(self, *args, **kwargs):
        try:
            return method(self, *args, **kwargs)
        except (PlanError, ValueError) as error:
            self.say(str(error), is_alert=True)
        except Exception as error:  # whatever it is, the family must see that something failed
            self.say(
                f"That didn't work: {error or type(error).__name__}. Nothing was saved.",
                is_alert=True,
                details=traceback.format_exc(),
            )

    return wrapped


class Changing:
    """The half of a form that changes its plan."""

    @guarded
    def typed(self, field):
        """Take what was typed into a field."""
        if self.is_quiet:
            return
        self.take()
        self.forget_questions()
        try:
            raw = field.as_raw(field.control.value)
        except ValueError as error:
            field.complain(str(error))
            self.say("Not saved: see the message beside the field.", is_alert=True)
            return
        member = field.member
        if member.is_new:
            self._fill_new(member)
        elif (
            member.name is None
            and not member.is_value
            and member.key not in self.raw
            and entries.entries_of(member.key)[1] == "optional"
        ):
            self._fill_absent(member)
        else:
            self._change(field, raw)

    @guarded
    def sure_changed(self, field):
        """Take low, high and basis of a field."""
        if self.is_quiet:
            return
        raw = self._raw_at(field.path)
        if raw is None and field.entry.default is not None:
            raw = field.as_raw(field.entry.default)
        if raw is None or field.member.is_new:
            field.complain("type the value first, then say how sure you are")
            return
        self._change(field, entries.with_surety(raw, *field.surety()))

    @guarded
    def to_default(self, field):
        """Take one entry out of the plan, so that its default counts."""
        self._change(field, None)

    def _change(self, field, raw):
        # Two entries may only hold together (a tank's on and off pressure): first try what waits.
        alone = {field.path: raw}
        tries = [{**self._waiting, **alone}, alone] if self._waiting.keys() - alone else [alone]
        for changes in tries:
            # A new name comes last: the other paths still use the old one.
            ordered = dict(sorted(changes.items(), key=lambda change: change[0].endswith(".name")))
            before = self.file.snapshot()
            try:
                dropped = self._set_all(field, ordered)
            except PlanError as error:
                fault = error
                continue
            changed = [self._fields[path] for path in ordered if path in self._fields]
            for path in ordered:
                self._waiting.pop(path, None)
            self.did(field.entry.title, before, ordered)
            self._took(changed, field, dropped, raw)
            return
        self._waiting[field.path] = raw
        field.complain(faults.of_field(fault, field))
        self.say("Not saved: see the message beside the field.", is_alert=True)

    def _took(self, changed, field, dropped, raw):
        for one in changed:
            if one.entry.key == "name" and one.member.name is not None:
                one.member.name = one.typed.strip()
        self._index()
        for one in changed:
            one.raw = self._raw_at(one.path)
            if one is field and (raw is None or one.typed != one.as_typed()):
                one.show(one.raw)  # "south" has become "180 deg"
            one.explain(dropped if one is field else "")
        if field.path == "units":  # labels carry the units
            self._build()
        if not self._accepted():
            for one in changed:
                one.complain("the message at the top of the form says why")

    def _set_all(self, field, changes):
        """Set them; a range that the new value has left behind goes, and the return says so."""
        try:
            if field.entry.key == "name" and len(changes) == 1 and not field.member.is_value:
                self.file.rename(field.member.key, field.member.name, changes[field.path])
            else:
                self.file.set_all(changes)
            return self._range_text(field, changes.get(field.path))
        except PlanError as error:
            old, new = self._raw_at(field.path), changes[field.path]
            stays = not isinstance(old, dict) or new is None or isinstance(new, dict)
            if stays or "low ≤ value ≤ high" not in str(error):
                raise
            self.file.set_all({**changes, field.path: {"value": new, "basis": "estimate"}})
            words = self._range_text(field, old)
            return f"the old range no longer fit, so it's gone: {words}"

    def _range_text(self, field, raw):
        return entries.range_text(raw, field.entry.kind, self.system)

    @guarded
    def take_line(self, line):
        """Take a part, or members of a list, from one line in everyday words."""
        if self.is_quiet or not line.control.value.strip():
            return
        self.take()
        self.forget_questions()
        before = self.file.snapshot()
        try:
            words = families.put(self.file, line.key, line.control.value)
        except ValueError as error:  # a PlanError too
            line.complain(str(error))
            self.say("Not in the plan: see the message beside the line.", is_alert=True)
            return
        self._rebuilt("one line", before)
        self.say(words)

    def _fill_new(self, member):
        part, before = self._typed_part(member), self.file.snapshot()
        try:
            self.file.add(member.key, part)
        except PlanError as error:
            self._explain_unfinished(member, error)
            return
        member.name = part.get("name", str(len(self.raw[member.key]) - 1))
        following = Member(member.key, NEW)
        self._members[member.key].append(following)
        self._make_fields(following, {})
        self._took_part(member, f"adding {member.name}", before)

    def _fill_absent(self, member):
        part, before = self._typed_part(member), self.file.snapshot()
        try:
            self.file.set_all({f"{member.key}.{entry}": raw for entry, raw in part.items()})
        except PlanError as error:
            self._explain_unfinished(member, error)
            return
        self._took_part(member, f"adding {member.key.replace('_', ' ')}", before)

    def _took_part(self, member, title, before):
        self.did(title, before)
        self._index()
        for field in self.fields_of(member):
            field.show(self._raw_at(field.path))
        self.refresh_member(member)
        self._accepted()

    def _typed_part(self, member):
        found = {}
        for field in self.fields_of(member):
            raw = field.as_raw(field.typed)
            is_given = field.entry.kind not in ("flag", "choice") or raw != field.entry.default
            if raw is not None and is_given:
                found[field.entry.key] = raw
        return families.completed(member.key, found) if member.is_new else found

    def _explain_unfinished(self, member, error):
        """Show each fault at its field; what is only missing is listed, not scolded."""
        missing, other, any_wrong = [], [], False
        by_key = {field.entry.key: field for field in self.fields_of(member)}
        for field in by_key.values():
            field.explain()
        for fault in faults.read(error):
            field = by_key.get(fault.entry)
            if field is None:
                other.append(fault.message)
            elif fault.message.startswith("is missing"):
                missing.append(field.entry.title)
            else:
                field.complain(fault.message)
                any_wrong = True
        words = [f"Still needed: {', '.join(missing)}."] if missing else []
        look = ["See the message beside the field."] if any_wrong else []
        self.say(" ".join(["Not in your plan yet.", *words, *other, *look]))

    def _raw_at(self, path):
        """What stands in the file at a path, ranges included; None if nothing does."""
        key, _, rest = path.partition(".")
        found = self.raw.get(key)
        if not rest or found is None:
            return found
        if isinstance(found, dict):
            return found.get(rest)
        for number, member in enumerate(found):
            name = member.get("name", str(number))
            if rest == name:
                return member
            if rest.startswith(f"{name}.") and "." not in rest[len(name) + 1 :]:
                return member.get(rest[len(name) + 1 :])
        return None
