"""Every rule there is, one file each; this list is the only one.

What is not listed is never asked. Rules about the same facts speak in the order of the list.
"""

from typing import Any

from rewriter.checking.rule import Rule
from rewriter.checking.rules import (
    accidental_differs,
    bar_length,
    below_lowest_string,
    beyond_extreme,
    beyond_range,
    divided_by_three,
    divided_in_octaves,
    enters_late,
    handed_over,
    long_at_the_top,
    mended_in_sketch,
    moved_by_octave,
    moves_under_fermata,
    needs_extension,
    not_true_here,
    octave_leap,
    old_cello_notation,
    open_in_sketch,
    outside_condition,
    overlap_in_sketch,
    overlong_in_sketch,
    receiver_busy,
    receiver_out_of_range,
    silenced,
    struck_again,
    two_voices_undivided,
    unplayable_chord,
)

RULES: tuple[Rule[Any, Any], ...] = (
    accidental_differs.RULE,
    bar_length.RULE,
    beyond_range.RULE,
    beyond_extreme.RULE,
    below_lowest_string.RULE,
    needs_extension.RULE,
    old_cello_notation.RULE,
    moved_by_octave.RULE,
    unplayable_chord.RULE,
    two_voices_undivided.RULE,
    silenced.RULE,
    long_at_the_top.RULE,
    outside_condition.RULE,
    divided_in_octaves.RULE,
    divided_by_three.RULE,
    handed_over.RULE,
    receiver_busy.RULE,
    receiver_out_of_range.RULE,
    enters_late.RULE,
    struck_again.RULE,
    octave_leap.RULE,
    not_true_here.RULE,
    moves_under_fermata.RULE,
    overlap_in_sketch.RULE,
    overlong_in_sketch.RULE,
    open_in_sketch.RULE,
    mended_in_sketch.RULE,
)
