from __future__ import annotations

import json

from click.testing import CliRunner
from jsonschema import Draft202012Validator

from camtools.cli.schema import command
from camtools.drawer.styles import STYLES
from camtools.output.dialects import shipped_dialects


def test_the_command_prints_a_schema_that_knows_the_styles_and_dialects_there_are() -> None:
    result = CliRunner().invoke(command)
    assert result.exit_code == 0
    schema = json.loads(result.stdout)
    Draft202012Validator.check_schema(schema)
    assert schema["$defs"]["JointForm"]["properties"]["style"]["enum"] == list(STYLES)
    assert schema["$defs"]["MachineForm"]["properties"]["postprocessor"]["examples"] == list(shipped_dialects())
    assert result.stdout.isascii()
