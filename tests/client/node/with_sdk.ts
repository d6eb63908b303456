// What a vendor writes over the functions that openapi-ts makes of the document; a test compiles it strictly and runs it.
import { createEvaluation, getEvaluation, getOutline, type Installation } from "./sdk";
import { client } from "./sdk/client.gen";

const house: Installation = {
  reference: "Wagtail Close 9",
  work: { kind: "inspection", inspected_on: "2026-11-25" },
  supply: { earthing_system: "TN-C-S", pme_conditions: "apply", neutral: { size: 25, material: "copper" } },
  services: [
    { kind: "water", comes_from: "ground", enters_as: "plastic", inside: "copper", hidden: "no", joined_to: [] },
    {
      kind: "gas", comes_from: "ground", meter: { position: "outside" }, enters_as: "steel", insulating_section: "none",
      joined_by: "screwed", inside: "copper", hidden: "no", joined_to: [],
    },
  ],
};

client.setConfig({ baseUrl: process.env.BONDWRIGHT, auth: () => process.env.BONDWRIGHT_KEY });

async function main(): Promise<void> {
  const evaluated = await createEvaluation({ body: house });
  if (!evaluated.data) throw new Error(evaluated.error.title);
  if (!("evaluation" in evaluated.data)) throw new Error("an outline comes only where it is preferred");
  const { evaluation_id, evaluation } = evaluated.data;
  if (evaluation.form !== 4) throw new Error("an answer of an earlier form");
  const { reasons, sentences, verdicts } = evaluation;

  const outlined = await getOutline({ path: { evaluation_id } });
  if (!outlined.data) throw new Error(outlined.error.title);

  const again = await getEvaluation({ path: { evaluation_id } });
  if (!again.data) throw new Error(again.error.title);

  const wrong: Installation = { ...house, supply: { neutral: { size: -1, material: "copper" } } };
  const refused = await createEvaluation({ body: wrong });

  console.log(
    JSON.stringify({
      evaluation_id,
      parts: evaluation.parts.map((part) => [sentences[part.name]?.words, part.mark, part.act]),
      why: evaluation.parts.map((part) => part.verdicts.map((place) => verdicts[place]?.because.map((at) => reasons[at]?.says))),
      instructions: outlined.data.outline.acts.map((act) => [act.id, act.instruction]),
      same: JSON.stringify(again.data) === JSON.stringify(evaluated.data),
      faults: refused.error?.errors?.map((fault) => fault.pointer),
    }),
  );
}

void main();
