"""Sets a piece out on a page: the job file is written on by key, and what comes of it is drawn again at once.

It holds no rule of joinery: what can be written is told by the schema of the job file, what comes of it by the layers that
``camtools plan`` asks, and the packet is written by ``camtools packet`` itself.

What is drawn
-------------
`setout_page.py` turns a `SetOut` into HTML: ``whole_page(set_out)`` when a window opens, ``parts_of(set_out)`` after each change, as
fragments by the ``id`` of the element that each replaces. Both fill templates of ``templates/`` with what `page_parts.py` makes of it
and of the window's `Picked`: which drawer it has at work. ``drawings/`` holds the pictures, ``own/`` style and script.

A `SetOut` (`set_out.py`) is all there is to know of a job as it now stands:

- ``text``, ``content``, ``units``, ``revision``, ``keeping`` (name, saved or not, what undo and redo would do, what was found on disk);
- ``job`` and ``defaults``: what camtools takes where the file is silent, by key path (`Default.value`, ``reason``, ``ask``);
- ``drawers``: those that can be worked out, by their place in the file from 1, with layouts, seasons and notes; ``earlier``: those that
  can not be at the moment, as they last were;
- ``faults``: each an `Amiss` with the ``key`` it stands at, its words, and, once reckoned, the remedy that was tried.

``lines_of(set_out, "stock")`` (`form_lines.py`) gives a table's keys as lines of a form, from the schema: what is written, what is
taken, why, which words can be chosen, what is amiss there.

What is sent
------------
All below ``/TOKEN/``, with ``?drawer=N``, the drawer at work, and ``alone=1`` where its joint is set for it alone. A change is answered
by JSON ``{"revision", "fragments": {id: html}, "message"}``; with 409 where the window's revision is not the job's, and nothing was
changed.

- ``GET .``: the page. ``GET own/NAME``: style and script. ``GET state?since=N``: 204, or the answer where the job is further than N
- ``POST edit`` ``{"revision", "edits": [...]}``: edits are those of `edits.py`, and make one step of undo. ``POST undo``, ``POST redo``
- ``GET reckoned?revision=N``: what takes longer: remedies, or cut list, times and stock
- ``POST save``, ``POST settle`` (a file that was changed on disk; a copy that was not saved), ``POST close``
- ``POST packet``, ``POST check``, ``POST stop``; ``GET packet/NAME``: a file of the packet that was written. ``POST shop``: its shop kept
"""
