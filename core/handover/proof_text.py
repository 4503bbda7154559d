"""A proof in words, as fields of the JSON, and as the one line that the setup sheet prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from core.handover.read_time import cycle_time_s

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.handover.proof import Proof
    from core.library.records import Machine

MOST_TOLD = 20
SHORT_DIGEST = 16


@dataclass(frozen=True, slots=True)
class Told:
    """The proofs of a job's programs with the name of each file."""

    names: tuple[str, ...]
    proofs: tuple[Proof, ...]
    machine: Machine

    @property
    def hold(self) -> bool:
        """Whether every program is proven."""
        return all(proof.holds for proof in self.proofs)


def proof_text(told: Told) -> str:
    """Return the proofs in words."""
    lines = []
    for name, proof in zip(told.names, told.proofs, strict=True):
        verdict = "proven" if proof.holds else "NOT proven"
        lines.append(f"{name}: {verdict}; program {proof.number} of {proof.count}")
        lines.append(f"  {proof.program.lines} lines read, SHA-256 {proof.sha256}")
        if not any(c.code == "words" for c in proof.complaints):
            lines += _found(proof)
        lines += [f"  {complaint}" for complaint in proof.complaints[:MOST_TOLD]]
        if len(proof.complaints) > MOST_TOLD:
            lines.append(f"  ... and {len(proof.complaints) - MOST_TOLD} more")
    if told.hold:
        seconds = cycle_time_s([p.program for p in told.proofs], told.machine)
        lines.append(f"Cycle time of the programs as read back: {seconds:.1f} s")
    return "\n".join(lines) + "\n"


def _found(proof: Proof) -> list[str]:
    deepest = f"{proof.gouge_mm:.3f} mm" if proof.gouge_mm > 0.0 else "0"
    held = f", {proof.held} stay held" if proof.held else ""
    return [
        f"  deepest into a part: {deepest}; outlines severed at full depth: {proof.severed} of "
        f"{proof.outlines} (left standing: {proof.uncut_mm:.3f} mm){held}",
        f"  pieces of waste that come loose: {proof.loose_waste}; depths "
        f"{'kept' if proof.depth_ok else 'NOT kept'}, feeds and speeds "
        f"{'kept' if proof.speed_ok else 'NOT kept'}",
    ]


def proof_line(told: Told) -> str:
    """Return what the setup sheet says of the programs."""
    parts = []
    for name, proof in zip(told.names, told.proofs, strict=True):
        verdict = "proven" if proof.holds else "NOT proven: it must not be run"
        parts.append(
            f"{name}, SHA-256 {proof.sha256[:SHORT_DIGEST]}, {proof.program.lines} lines, read "
            f"back and {verdict}: {proof.severed} of {proof.outlines} outlines severed, deepest "
            f"into a part {proof.gouge_mm:.3f} mm."
        )
    return " ".join(parts)


def proof_fields(told: Told) -> dict[str, Any]:
    """Return the proofs as the JSON has them: all programs together, then each."""
    proofs = told.proofs
    seconds = cycle_time_s([p.program for p in proofs], told.machine) if told.hold else None
    return {
        **_fields(proofs),
        "holds": told.hold,
        "cycle_time_s": seconds,
        "programs": [
            {"name": name, "sha256": proof.sha256, **_fields([proof]), **_objections(proof)}
            for name, proof in zip(told.names, proofs, strict=True)
        ],
    }


def _fields(proofs: Sequence[Proof]) -> dict[str, Any]:
    return {
        "gouge_mm": max((p.gouge_mm for p in proofs), default=0.0),
        "uncut_mm": max((p.uncut_mm for p in proofs), default=0.0),
        "severed": sum(p.severed for p in proofs),
        "outlines": sum(p.outlines for p in proofs),
        "held": sum(p.held for p in proofs),
        "loose_waste": sum(p.loose_waste for p in proofs),
        "depth_ok": all(p.depth_ok for p in proofs),
        "speed_ok": all(p.speed_ok for p in proofs),
        "lines_read": sum(p.program.lines for p in proofs),
    }


def _objections(proof: Proof) -> dict[str, Any]:
    return {
        "complaints": [
            {"code": c.code, "line": c.line, "message": c.message} for c in proof.complaints
        ]
    }
