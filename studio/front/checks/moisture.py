"""Moisture, loss on ignition, stock solutions: section m."""

from studio.calc import doses
from studio.front.checks.answers import Answer, answered
from studio.materials.calc import moisture

CHECKS: dict[str, Answer] = {
    "loi": answered(moisture.loss_on_ignition, outputs={"M": "molar_mass"}),
    "moist_weigh": answered(moisture.moist_weigh),
    "moisture_convert": answered(moisture.dry_basis, outputs="dry_basis_pct"),
    "calcined_swap": answered(moisture.calcined_swap),
    "stock_dose": answered(
        doses.stock_dose,
        arguments={"stock_g_per_L": "stock_g_per_l"},
        outputs={"stock_mL": "stock_ml"},
    ),
}
